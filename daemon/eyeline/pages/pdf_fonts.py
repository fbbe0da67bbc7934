"""The two faces of the pages in print: made of the bundled ones by `python -m tests.pages.print_faces`."""

from __future__ import annotations

import logging
from functools import cache
from pathlib import Path

from fontTools.ttLib import TTFont
from fpdf import FPDF

FONTS = Path(__file__).parent / "static" / "fonts"
WORDS, FIGURES = "words", "figures"
FILES = {
    (WORDS, ""): "EyelineWords-Regular.ttf",
    (WORDS, "I"): "EyelineWords-Italic.ttf",
    (FIGURES, ""): "EyelineFigures-Regular.ttf",
    (FIGURES, "B"): "EyelineFigures-Bold.ttf",
}
"""File by face and style, in the letters of fpdf2."""


def add_fonts(pdf: FPDF) -> None:
    """Make WORDS and FIGURES known to `pdf`."""
    for name in ("fpdf", "fontTools"):
        logging.getLogger(name).setLevel(logging.ERROR)  # they tell of every table and letter that is missing
    for (face, style), name in FILES.items():
        pdf.add_font(face, style, FONTS / name)


def has_letters(font: Path, text: str) -> bool:
    """Whether the face in the file `font` has every letter of `text`."""
    return text.isascii() or all(ord(letter) in _letters(font) for letter in text)


@cache
def _letters(font: Path) -> frozenset[int]:
    with TTFont(font) as opened:
        return frozenset(opened.getBestCmap())
