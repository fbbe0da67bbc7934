"""Words set on a page of PDF: type, lines, blocks, rules; and which of them their face has no letters for."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import cast

from fpdf import FPDF
from fpdf.enums import MethodReturnValue

from eyeline.pages.pdf_fonts import FILES, FONTS, has_letters

Grey = tuple[int, int, int]
INK, SOFT, RULE, HAIR, PENCIL = (22,) * 3, (68,) * 3, (118,) * 3, (201,) * 3, (27, 79, 156)
"""As in `paper.css`; second words are darker, since print is smaller."""

POINT_MM = 25.4 / 72


@dataclass(frozen=True, slots=True)
class Type:
    """Letters: face, style, size in points, distance of lines in millimetres, colour."""

    face: str
    style: str
    points: float
    leading: float
    colour: Grey

    def soft(self) -> Type:
        """The same for second words."""
        return replace(self, colour=SOFT)

    def bold(self) -> Type:
        """The same, bold."""
        return replace(self, style="B")


@dataclass(slots=True)
class Typesetter:
    """Sets words on the page of `pdf` that is open. `boxes`: words that came out as empty boxes, in order."""

    pdf: FPDF
    boxes: dict[str, None] = field(default_factory=dict)
    _lines: dict[tuple[str, str, float, float], list[str]] = field(default_factory=dict)

    def length(self, text: str, kind: Type) -> float:
        """How long `text` is in one line, millimetres."""
        self._set(kind)
        return float(self.pdf.get_string_width(text))

    def text(self, left: float, top: float, text: str, kind: Type) -> float:
        """Set one line; where it ends."""
        self._set(kind)
        baseline = top + kind.leading / 2 + kind.points * POINT_MM * 0.35
        self.pdf.text(left, baseline, text)
        face = FONTS / FILES[kind.face, kind.style]
        if not has_letters(face, text):
            words = (word.strip(",;") for word in text.split())
            self.boxes.update(dict.fromkeys(word for word in words if not has_letters(face, word)))
        return left + float(self.pdf.get_string_width(text))

    def block(
        self, left: float, top: float, text: str, kind: Type, width: float, draws: bool = True
    ) -> float:
        """Set `text` in lines of at most `width`, or only reckon with it; where it ends below."""
        for line in self._broken(text, kind, width):
            if draws:
                self.text(left, top, line, kind)
            top += kind.leading
        return top

    def rule(self, left: float, right: float, y: float, colour: Grey) -> None:
        """Draw a line across."""
        self.pdf.set_draw_color(*colour)
        self.pdf.set_line_width(0.2 if colour == INK else 0.1)
        self.pdf.line(left, y, right, y)

    def _set(self, kind: Type) -> None:
        self.pdf.set_font(kind.face, kind.style, kind.points)
        self.pdf.set_text_color(*kind.colour)

    def _broken(self, text: str, kind: Type, width: float) -> list[str]:
        key = (text, kind.face + kind.style, kind.points, round(width, 2))
        if key not in self._lines:
            self._set(kind)
            found = self.pdf.multi_cell(
                width, text=text, dry_run=True, align="L", output=MethodReturnValue.LINES, padding=0
            )
            self._lines[key] = [str(line) for line in cast("list[str]", found)]
        return self._lines[key]
