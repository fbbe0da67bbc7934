"""The two faces of the pages in print: made of the bundled ones by `python -m tests.pages.print_faces`."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from fontTools.ttLib import TTFont
from fpdf import FPDF

from eyeline.pages.sheet import Sheet

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


def unprintable(sheet: Sheet) -> tuple[str, ...]:
    """What stands on `sheet` in letters that the bundled faces lack, Chinese ones for instance:
    they would come out as empty boxes. Title, sitters and keywords are the photographer's words, all else is
    eyeline's."""
    figures = [sheet.title, *(sitter.label for sitter in sheet.sitters)]
    figures += [frame.number for frame in sheet.frames]
    words = [word for frame in sheet.frames for word in (*frame.words, *frame.own_words)]
    found = [*_missing(figures, FILES[FIGURES, ""]), *_missing(words, FILES[WORDS, "I"])]
    return tuple(dict.fromkeys(found))


def _missing(texts: Iterable[str], name: str) -> list[str]:
    return [text for text in dict.fromkeys(texts) if not has_letters(FONTS / name, text)]


def has_letters(font: Path, text: str) -> bool:
    """Whether the face in the file `font` has every letter of `text`."""
    return text.isascii() or all(ord(letter) in _letters(font) for letter in text)


@cache
def _letters(font: Path) -> frozenset[int]:
    with TTFont(font) as opened:
        return frozenset(opened.getBestCmap())
