"""A sheet as PDF for print, with the layout of `paging` and the same lines over the pictures as in HTML."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import cast

from fpdf import FPDF
from fpdf.enums import MethodReturnValue

from eyeline.pages import sheet_words as words
from eyeline.pages.choice import series_ends
from eyeline.pages.overlay import Stroke, corner_marks, geometry
from eyeline.pages.paging import GAP_UNITS, MARGIN, Item, PlacedFrame, PlacedRow, paged
from eyeline.pages.pdf_fonts import FIGURES, WORDS, add_fonts
from eyeline.pages.pictures import Key, key_of
from eyeline.pages.sheet import Sheet, SheetFrame
from eyeline.pages.sheet_html import STARS_A_PICTURE_LONG
from eyeline.pages.sheet_look import PAPER_MM, Look

Grey = tuple[int, int, int]
INK, SOFT, RULE, HAIR, PENCIL = (22,) * 3, (68,) * 3, (118,) * 3, (201,) * 3, (27, 79, 156)
"""As in `paper.css`; second words are darker, since print is smaller."""

EDGE, LIGHT = (60,) * 3, (255,) * 3
"""Lines over a picture: light with a dark edge, so that they show on any."""

POINT_MM = 25.4 / 72


@dataclass(frozen=True, slots=True)
class _Type:
    """Letters: face, style, size in points, distance of lines in millimetres, colour."""

    face: str
    style: str
    points: float
    leading: float
    colour: Grey


HEAD = _Type(FIGURES, "", 8, 4, INK)
NAME = _Type(FIGURES, "B", 8, 4, INK)
SENTENCE = _Type(WORDS, "", 14, 5.6, INK)
LEGEND = _Type(WORDS, "", 7.5, 3.3, SOFT)
NUMBER = _Type(FIGURES, "B", 7.5, 3.2, INK)
STARS = _Type(FIGURES, "", 7.5, 3.2, INK)
SAYS = _Type(WORDS, "", 7, 2.85, INK)
KEYWORDS = _Type(WORDS, "I", 7, 2.85, SOFT)
SMALL = _Type(FIGURES, "", 6, 2.6, SOFT)
LABEL = _Type(FIGURES, "B", 18, 6.4, INK)
CELL = _Type(FIGURES, "", 7, 3.3, INK)
MISSING = _Type(WORDS, "I", 7.4, 3.3, INK)

TALLY = 0.85
"""Millimetres that the rule of stars is thick."""

AFTER_TALLY = 1.0


def sheet_pdf(sheet: Sheet, look: Look, pictures: Mapping[Key, bytes]) -> bytes:
    """`sheet` as PDF, with the JPEGs in `pictures` as they are."""
    width, height = PAPER_MM[look.paper]
    pdf = FPDF(unit="mm", format=(width, height))
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.c_margin = 0
    pdf.set_title(sheet.title)
    pdf.set_creator("eyeline")
    pdf.set_creation_date(datetime.now(UTC))
    pdf.set_lang("en")
    add_fonts(pdf)
    pdf.add_page()
    page = _Page(pdf, sheet, look, pictures, width, height)
    top = page.head()
    unit = look.scale.unit_mm
    items = [
        [
            Item(frame.hung, page.caption(frame, None, frame.hung.width * unit), *ends)
            for frame, ends in zip(
                sitter.frames,
                [(True, True)] * len(sitter.frames) if look.client else series_ends(sitter.frames),
                strict=True,
            )
        ]
        for sitter in sheet.sitters
    ]
    pages = paged(items, width, height, unit, top)
    for number, rows in enumerate(pages, 1):
        if number > 1:
            pdf.add_page()
        for row in rows:
            page.row(row)
        page.foot(number, len(pages))
    return bytes(pdf.output())


@dataclass(slots=True)
class _Page:
    """Draws on the page of `pdf` that is open."""

    pdf: FPDF
    sheet: Sheet
    look: Look
    pictures: Mapping[Key, bytes]
    width: float
    height: float
    _lines: dict[tuple[str, str, float, float], list[str]] = field(default_factory=dict)

    def head(self) -> float:
        """What stands above the first row; where that may begin."""
        right = self.width - MARGIN
        x = self._text(MARGIN, MARGIN, self.sheet.title if self.look.client else "eyeline", NAME) + 6
        day = words.day(self.sheet)
        said = ("Please answer with the numbers.",) if self.look.client else (self.sheet.title,)
        for text in (day, *said) if self.look.client else (*said, day):
            x = self._text(x, MARGIN, text, HEAD) + 6 if text else x
        top = MARGIN + 6.0
        if self.look.client:
            return top
        start = top
        for line in words.sentence(self.sheet):
            top = self._block(MARGIN, top, line, SENTENCE, (right - MARGIN) * 0.46)
        top = max(top, self._brief(MARGIN + (right - MARGIN) * 0.5, start, right)) + 2
        legend = words.LEGEND + (f" {words.LEGEND_GEOMETRY}" if self.look.geometry else "")
        return self._block(MARGIN, top, legend, LEGEND, right - MARGIN) + 1

    def _brief(self, left: float, top: float, right: float) -> float:
        head, by_sitter = words.brief_by_sitter(self.sheet)
        if by_sitter:
            table = [[("", CELL), *((name, _soft(CELL)) for name in head)]]
            for sitter, cells in by_sitter:
                table.append([(sitter, _bold(CELL)), *((cell.says, _kind(cell)) for cell in cells)])
            top = self._table(table, 1, left, top, right) + 1
        lines = [
            [(name, CELL), (counted, CELL), (cell.says, _kind(cell))]
            for name, counted, cell in words.brief_lines(self.sheet)
        ]
        return self._table(lines, 2, left, top, right) if lines else top

    def _table(
        self, table: Sequence[Sequence[tuple[str, _Type]]], fitted: int, left: float, top: float, right: float
    ) -> float:
        """Set a table whose first `fitted` columns are as wide as need be; where it ends below."""
        columns = len(table[0])
        widths = [max(self._length(*row[place]) for row in table) + 3 for place in range(fitted)]
        widths += [(right - left - sum(widths)) / (columns - fitted)] * (columns - fitted)
        for row in table:
            self._rule(left, right, top, HAIR)
            x, bottom = left, top
            for (text, kind), wide in zip(row, widths, strict=True):
                bottom = max(bottom, self._block(x, top + 0.3, text, kind, wide - 1.5))
                x += wide
            top = bottom + 0.3
        return top

    def row(self, row: PlacedRow) -> None:
        """Draw a row: its line, brackets, frames, and the sitter's number where it is due."""
        sitter = self.sheet.sitters[row.sitter]
        right = self.width - MARGIN
        if row.begins:
            self._rule(MARGIN, right, row.top - 1.2, INK)
        if row.shows_label:
            label = sitter.label or "–"
            points = min(LABEL.points, LABEL.points * 11 / max(11.0, self._length(label, LABEL)))
            big = _Type(FIGURES, "B", points, LABEL.leading, INK)
            top = self._block(MARGIN, row.top + 1, label, big, 13)
            if not self.look.client:
                notes = (words.since(sitter), words.frames_counted(sitter)) if row.begins else ("continued",)
                for note in filter(None, notes):
                    top = self._block(MARGIN, top, note, SMALL, 13)
        end = row.frames[-1].left + row.frames[-1].width + GAP_UNITS * self.look.scale.unit_mm
        self._rule(row.frames[0].left, min(end, right), row.line, RULE)
        for bracket in row.brackets:
            self._rule(bracket.left, bracket.right, row.top, RULE)
            for x, is_there in ((bracket.left, bracket.begins), (bracket.right, bracket.ends)):
                if is_there:
                    self.pdf.line(x, row.top, x, row.top + 1.2)
        for place in row.frames:
            self._frame(place, sitter.frames[place.index])

    def _frame(self, place: PlacedFrame, frame: SheetFrame) -> None:
        picture = self.pictures.get(key_of(frame.photo))
        box = (place.left, place.top, place.width, place.height)
        if picture is not None:
            said = f"Frame {frame.number}" if self.look.client else words.alternative(frame)
            self.pdf.image(io.BytesIO(picture), *box, alt_text=said)
        else:
            self.pdf.set_draw_color(*RULE)
            self.pdf.rect(*box)
            self._block(place.left + 1, place.top + 1, "no picture", KEYWORDS, place.width - 2)
        if not self.look.client:
            if self.look.geometry and frame.photo.points is not None:
                self._strokes(geometry(frame.photo.points, frame.known, frame.hung), place)
            if frame.crops:
                self._strokes(corner_marks(frame.crops[0].area, frame.hung), place)
        self.caption(frame, place, place.width)

    def caption(self, frame: SheetFrame, place: PlacedFrame | None, width: float) -> float:
        """Draw what stands below a frame, or nothing where it has no place yet; how high that is."""
        left, top = (place.left, place.caption_top) if place else (0.0, 0.0)
        start, draws = top, place is not None
        wide = width + GAP_UNITS / 2 * self.look.scale.unit_mm
        top = self._block(left, top, frame.number, NUMBER, width, draws)
        if self.look.client:
            return top - start
        colour = PENCIL if frame.stars_are_own or frame.stars == 5 else INK
        if draws:
            stars = "–" if frame.stars is None else str(frame.stars)
            kind = _Type(FIGURES, "", STARS.points, STARS.leading, colour)
            self._text(left + width - self._length(stars, kind), start, stars, kind)
            self._rule(left, left + width, top + TALLY, HAIR)
            self.pdf.set_fill_color(*colour)
            share = min(1.0, (frame.stars or 0) / STARS_A_PICTURE_LONG)
            if share:
                self.pdf.rect(left, top, width * share, TALLY, style="F")
        top += TALLY + AFTER_TALLY
        for text, kind in (
            (frame.binds, SAYS),
            (", ".join(frame.words), KEYWORDS),
            (", ".join(frame.own_words), _Type(WORDS, "I", 7, 2.85, PENCIL)),
            (words.framing(frame) if self.look.geometry else "", SMALL),
            (f"crops {words.crops(frame)}" if frame.crops else "", SMALL),
        ):
            if text:
                top = self._block(left, top, text, kind, wide, draws)
        return top - start

    def foot(self, number: int, pages: int) -> None:
        """The number of the page."""
        said = f"{self.sheet.title}, page {number} of {pages}"
        self._text(MARGIN, self.height - MARGIN - SMALL.leading, said, SMALL)

    def _strokes(self, strokes: Sequence[Stroke], place: PlacedFrame) -> None:
        unit = self.look.scale.unit_mm
        for colour, thick in ((EDGE, 0.32), (LIGHT, 0.14)):
            self.pdf.set_draw_color(*colour)
            for stroke in strokes:
                self.pdf.set_line_width(thick / 2 if stroke.dashed else thick)
                if stroke.dashed:
                    self.pdf.set_dash_pattern(0.6, 0.8)
                points = [(place.left + x * unit, place.top + y * unit) for x, y in stroke.points]
                self.pdf.polyline(points)
                if stroke.dashed:
                    self.pdf.set_dash_pattern()
        self.pdf.set_line_width(0.1)

    def _rule(self, left: float, right: float, y: float, colour: Grey) -> None:
        self.pdf.set_draw_color(*colour)
        self.pdf.set_line_width(0.2 if colour == INK else 0.1)
        self.pdf.line(left, y, right, y)

    def _set(self, kind: _Type) -> None:
        self.pdf.set_font(kind.face, kind.style, kind.points)
        self.pdf.set_text_color(*kind.colour)

    def _length(self, text: str, kind: _Type) -> float:
        self._set(kind)
        return float(self.pdf.get_string_width(text))

    def _text(self, left: float, top: float, text: str, kind: _Type) -> float:
        """Set one line; where it ends."""
        self._set(kind)
        baseline = top + kind.leading / 2 + kind.points * POINT_MM * 0.35
        self.pdf.text(left, baseline, text)
        return left + float(self.pdf.get_string_width(text))

    def _block(
        self, left: float, top: float, text: str, kind: _Type, width: float, draws: bool = True
    ) -> float:
        """Set `text` in lines of at most `width`, or only reckon with it; where it ends below."""
        for line in self._broken(text, kind, width):
            if draws:
                self._text(left, top, line, kind)
            top += kind.leading
        return top

    def _broken(self, text: str, kind: _Type, width: float) -> list[str]:
        key = (text, kind.face + kind.style, kind.points, round(width, 2))
        if key not in self._lines:
            self._set(kind)
            found = self.pdf.multi_cell(
                width, text=text, dry_run=True, align="L", output=MethodReturnValue.LINES, padding=0
            )
            self._lines[key] = [str(line) for line in cast(Sequence[str], found)]
        return self._lines[key]


def _kind(cell: words.BriefCell) -> _Type:
    return MISSING if cell.is_missing else CELL


def _soft(kind: _Type) -> _Type:
    return _Type(kind.face, kind.style, kind.points, kind.leading, SOFT)


def _bold(kind: _Type) -> _Type:
    return _Type(kind.face, "B", kind.points, kind.leading, kind.colour)
