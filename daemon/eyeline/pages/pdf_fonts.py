"""The two faces of the pages, made ready for a PDF.

TeX Gyre Heros has cubic curves whose glyphs have names (CFF), a kind of font that fpdf2 embeds in a way that
PDF readers object to; so they become quadratic ones, as in any TrueType font, under another name, as its
licence asks.
"""

from __future__ import annotations

import logging
from functools import cache
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from fontTools import subset
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable
from fpdf import FPDF

FONTS = Path(__file__).parent / "static" / "fonts"
WORDS, FIGURES = "words", "figures"

LETTERS = (
    *range(0x20, 0x7F),
    *range(0xA0, 0x180),
    *range(0x2010, 0x2027),
    0x2032,
    0x2033,
    0x20AC,
    0x2212,
    0x2605,
)
"""Latin with its accents, dashes, quotes: what names and numbers are written in. The serif has Greek and
Cyrillic too."""

RENAMED = {"TeX Gyre Heros": "Eyeline Figures", "TeXGyreHeros": "EyelineFigures"}

MOST_OFF_UNITS = 0.5
"""How far a quadratic curve may lie off the cubic one: of 1000 units, a thousandth of a dot in print."""


def add_fonts(pdf: FPDF) -> None:
    """Make WORDS (upright and italic) and FIGURES (regular and bold) known to `pdf`."""
    for name in ("fpdf", "fontTools"):
        logging.getLogger(name).setLevel(logging.ERROR)  # they tell of every table that they leave out
    pdf.add_font(WORDS, "", FONTS / "GentiumBookPlus-Regular.woff2")
    pdf.add_font(WORDS, "I", FONTS / "GentiumBookPlus-Italic.woff2")
    with TemporaryDirectory(prefix="eyeline-fonts-") as folder:
        for style, weight in (("", "regular"), ("B", "bold")):
            path = Path(folder, f"{weight}.ttf")
            path.write_bytes(_quadratic(FONTS / f"texgyreheros-{weight}.otf"))
            pdf.add_font(FIGURES, style, path)


@cache
def _quadratic(path: Path) -> bytes:
    """The font at `path` with the glyphs of LETTERS as TrueType."""
    font = TTFont(path)
    options = subset.Options(layout_features=[], name_IDs=[1, 2, 4, 6], notdef_outline=True, glyph_names=True)
    smaller = subset.Subsetter(options)
    smaller.populate(unicodes=LETTERS)
    smaller.subset(font)
    order, drawn = font.getGlyphOrder(), font.getGlyphSet()
    glyphs = {}
    for name in order:
        pen = TTGlyphPen(None)
        drawn[name].draw(Cu2QuPen(pen, MOST_OFF_UNITS, reverse_direction=True))
        glyphs[name] = pen.glyph()
    del font["CFF "]
    font["loca"] = newTable("loca")
    font["glyf"] = table = newTable("glyf")
    table.glyphOrder, table.glyphs = order, glyphs
    font["maxp"] = newTable("maxp")
    font["maxp"].tableVersion = 0x00010000
    for field in (
        *("maxZones", "maxTwilightPoints", "maxStorage", "maxFunctionDefs", "maxInstructionDefs"),
        *("maxStackElements", "maxSizeOfInstructions", "maxComponentElements"),
    ):
        setattr(font["maxp"], field, 1 if field in ("maxZones", "maxComponentElements") else 0)
    for record in font["name"].names:
        record.string = (
            record.toUnicode()
            .replace("TeX Gyre Heros", "Eyeline Figures")
            .replace("TeXGyreHeros", "EyelineFigures")
        )
    font["post"].formatType = 3.0
    font.sfntVersion = "\x00\x01\x00\x00"
    out = BytesIO()
    font.save(out)
    return out.getvalue()
