"""A sheet as PDF for print, with the layout of `paging` and the same lines over the pictures as in HTML."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from fpdf import FPDF

from eyeline.pages import sheet_words as words
from eyeline.pages.choice import series_ends
from eyeline.pages.overlay import Stroke, corner_marks, geometry
from eyeline.pages.paging import GAP_UNITS, MARGIN, Item, PlacedFrame, PlacedRow, paged
from eyeline.pages.pdf_fonts import FIGURES, WORDS, add_fonts
from eyeline.pages.pictures import Key, key_of
from eyeline.pages.sheet import Sheet, SheetFrame
from eyeline.pages.sheet_html import STARS_A_PICTURE_LONG
from eyeline.pages.sheet_look import PAPER_MM, Look
from eyeline.pages.typesetter import HAIR, INK, PENCIL, RULE, SOFT, Type, Typesetter

EDGE, LIGHT = (60,) * 3, (255,) * 3
"""Lines over a picture: light with a dark edge, so that they show on any."""

HEAD = Type(FIGURES, "", 8, 4, INK)
NAME = Type(FIGURES, "B", 8, 4, INK)
SENTENCE = Type(WORDS, "", 14, 5.6, INK)
LEGEND = Type(WORDS, "", 7.5, 3.3, SOFT)
NUMBER = Type(FIGURES, "B", 7.5, 3.2, INK)
STARS = Type(FIGURES, "", 7.5, 3.2, INK)
SAYS = Type(WORDS, "", 7, 2.85, INK)
KEYWORDS = Type(WORDS, "I", 7, 2.85, SOFT)
SMALL = Type(FIGURES, "", 6, 2.6, SOFT)
LABEL = Type(FIGURES, "B", 18, 6.4, INK)
CELL = Type(FIGURES, "", 7, 3.3, INK)
MISSING = Type(WORDS, "I", 7.4, 3.3, INK)

TALLY = 0.85
"""Millimetres that the rule of stars is thick."""

AFTER_TALLY = 1.0


@dataclass(frozen=True, slots=True)
class PdfSheet:
    """The file's `content`; `boxes`: words on it in letters that no face for print has, Chinese ones for
    instance: they came out as empty boxes."""

    content: bytes
    boxes: tuple[str, ...]


def sheet_pdf(sheet: Sheet, look: Look, pictures: Mapping[Key, bytes]) -> PdfSheet:
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
    typesetter = Typesetter(pdf)
    page = _Page(pdf, typesetter, sheet, look, pictures, width, height)
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
    return PdfSheet(bytes(pdf.output()), tuple(typesetter.boxes))


@dataclass(slots=True)
class _Page:
    """Draws on the page of `pdf` that is open."""

    pdf: FPDF
    typesetter: Typesetter
    sheet: Sheet
    look: Look
    pictures: Mapping[Key, bytes]
    width: float
    height: float

    def head(self) -> float:
        """What stands above the first row; where that may begin."""
        right = self.width - MARGIN
        x = (
            self.typesetter.text(MARGIN, MARGIN, self.sheet.title if self.look.client else "eyeline", NAME)
            + 6
        )
        day = words.day(self.sheet)
        said = ("Please answer with the numbers.",) if self.look.client else (self.sheet.title,)
        for text in (day, *said) if self.look.client else (*said, day):
            x = self.typesetter.text(x, MARGIN, text, HEAD) + 6 if text else x
        top = MARGIN + 6.0
        if self.look.client:
            return top
        start = top
        for line in words.sentence(self.sheet):
            top = self.typesetter.block(MARGIN, top, line, SENTENCE, (right - MARGIN) * 0.46)
        top = max(top, self._brief(MARGIN + (right - MARGIN) * 0.5, start, right)) + 2
        legend = words.LEGEND + (f" {words.LEGEND_GEOMETRY}" if self.look.geometry else "")
        return self.typesetter.block(MARGIN, top, legend, LEGEND, right - MARGIN) + 1

    def _brief(self, left: float, top: float, right: float) -> float:
        head, by_sitter = words.brief_by_sitter(self.sheet)
        if by_sitter:
            table = [[("", CELL), *((name, CELL.soft()) for name in head)]]
            for sitter, cells in by_sitter:
                table.append([(sitter, CELL.bold()), *((cell.says, _kind(cell)) for cell in cells)])
            top = self._table(table, 1, left, top, right) + 1
        lines = [
            [(name, CELL), (counted, CELL), (cell.says, _kind(cell))]
            for name, counted, cell in words.brief_lines(self.sheet)
        ]
        return self._table(lines, 2, left, top, right) if lines else top

    def _table(
        self, table: Sequence[Sequence[tuple[str, Type]]], fitted: int, left: float, top: float, right: float
    ) -> float:
        """Set a table whose first `fitted` columns are as wide as need be; where it ends below."""
        columns = len(table[0])
        widths = [max(self.typesetter.length(*row[place]) for row in table) + 3 for place in range(fitted)]
        widths += [(right - left - sum(widths)) / (columns - fitted)] * (columns - fitted)
        for row in table:
            self.typesetter.rule(left, right, top, HAIR)
            x, bottom = left, top
            for (text, kind), wide in zip(row, widths, strict=True):
                bottom = max(bottom, self.typesetter.block(x, top + 0.3, text, kind, wide - 1.5))
                x += wide
            top = bottom + 0.3
        return top

    def row(self, row: PlacedRow) -> None:
        """Draw a row: its line, brackets, frames, and the sitter's number where it is due."""
        sitter = self.sheet.sitters[row.sitter]
        right = self.width - MARGIN
        if row.begins:
            self.typesetter.rule(MARGIN, right, row.top - 1.2, INK)
        if row.shows_label:
            label = sitter.label or "–"
            points = min(LABEL.points, LABEL.points * 11 / max(11.0, self.typesetter.length(label, LABEL)))
            big = replace(LABEL, points=points)
            top = self.typesetter.block(MARGIN, row.top + 1, label, big, 13)
            if not self.look.client:
                notes = (words.since(sitter), words.frames_counted(sitter)) if row.begins else ("continued",)
                for note in filter(None, notes):
                    top = self.typesetter.block(MARGIN, top, note, SMALL, 13)
        end = row.frames[-1].left + row.frames[-1].width + GAP_UNITS * self.look.scale.unit_mm
        self.typesetter.rule(row.frames[0].left, min(end, right), row.line, RULE)
        for bracket in row.brackets:
            self.typesetter.rule(bracket.left, bracket.right, row.top, RULE)
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
            self.typesetter.block(place.left + 1, place.top + 1, "no picture", KEYWORDS, place.width - 2)
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
        top = self.typesetter.block(left, top, frame.number, NUMBER, width, draws)
        if self.look.client:
            return top - start
        colour = PENCIL if frame.stars_are_own or frame.stars == 5 else INK
        if draws:
            stars = "–" if frame.stars is None else str(frame.stars)
            kind = replace(STARS, colour=colour)
            self.typesetter.text(left + width - self.typesetter.length(stars, kind), start, stars, kind)
            self.typesetter.rule(left, left + width, top + TALLY, HAIR)
            self.pdf.set_fill_color(*colour)
            share = min(1.0, (frame.stars or 0) / STARS_A_PICTURE_LONG)
            if share:
                self.pdf.rect(left, top, width * share, TALLY, style="F")
        top += TALLY + AFTER_TALLY
        for text, kind in (
            (frame.binds, SAYS),
            (", ".join(frame.words), KEYWORDS),
            (", ".join(frame.own_words), replace(KEYWORDS, colour=PENCIL)),
            (words.framing(frame) if self.look.geometry else "", SMALL),
            (f"crops {words.crops(frame)}" if frame.crops else "", SMALL),
        ):
            if text:
                top = self.typesetter.block(left, top, text, kind, wide, draws)
        return top - start

    def foot(self, number: int, pages: int) -> None:
        """The number of the page."""
        said = f"{self.sheet.title}, page {number} of {pages}"
        self.typesetter.text(MARGIN, self.height - MARGIN - SMALL.leading, said, SMALL)

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


def _kind(cell: words.BriefCell) -> Type:
    return MISSING if cell.is_missing else CELL
