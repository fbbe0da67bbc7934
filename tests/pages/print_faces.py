"""Faces for print out of the bundled ones: `python -m tests.pages.print_faces` writes them anew.

What a PDF needs is smaller and simpler than what a browser takes: TrueType outlines that fpdf2 embeds so that
every reader understands them, without the seconds that unpacking WOFF2 and turning cubic curves quadratic
take. Licences ask that what is changed has another name: these are Eyeline Words and Eyeline Figures.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from fontTools import subset
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable

from eyeline.pages.pdf_fonts import FILES, FONTS

SOURCES = {
    "EyelineWords-Regular.ttf": ("GentiumBookPlus-Regular.woff2", "Eyeline Words", "Regular"),
    "EyelineWords-Italic.ttf": ("GentiumBookPlus-Italic.woff2", "Eyeline Words", "Italic"),
    "EyelineFigures-Regular.ttf": ("texgyreheros-regular.otf", "Eyeline Figures", "Regular"),
    "EyelineFigures-Bold.ttf": ("texgyreheros-bold.otf", "Eyeline Figures", "Bold"),
}
"""File and names by the file that is made of it."""

LETTERS = (
    *(*range(0x20, 0x7F), *range(0xA0, 0x180), 0x218, 0x219, 0x21A, 0x21B, *range(0x2010, 0x2027)),
    *(*range(0x386, 0x3CF), *range(0x400, 0x460), 0x20AC, 0x2212),
)
"""Latin with its accents, Greek, Cyrillic, dashes, quotes, minus: as far as a face has them."""

MOST_OFF_UNITS = 0.5
"""How far a quadratic curve may lie off the cubic one, of 1000 units."""

DROPPED = "Silf Glat Gloc Feat Sill Silt DSIG GSUB GPOS GDEF BASE kern".split()
"""Tables of shaping that fpdf2 does not use."""

FAMILY, STYLE, IDENTIFIER, FULL, POSTSCRIPT, LICENCE = 1, 2, 3, 4, 6, 13
"""Records of the table `name` (OpenType 1.9)."""


def print_face(source: str, family: str, style: str) -> bytes:
    """The face for print made of the file `source`."""
    font = TTFont(FONTS / source, recalcTimestamp=False)
    font.flavor = None
    options = subset.Options(
        layout_features=[], name_IDs=[0, FAMILY, STYLE, LICENCE], notdef_outline=True, hinting=False
    )
    options.drop_tables += DROPPED
    smaller = subset.Subsetter(options)
    smaller.populate(unicodes=LETTERS)
    smaller.subset(font)
    if "CFF " in font:
        _to_quadratic(font)
    names = font["name"]
    names.names = [each for each in names.names if each.platformID == 3]
    for record, text in (
        *((FAMILY, family), (STYLE, style), (FULL, f"{family} {style}")),
        *((IDENTIFIER, f"{family} {style}"), (POSTSCRIPT, f"{family.replace(' ', '')}-{style}")),
    ):
        names.setName(text, record, 3, 1, 0x409)
    font["post"].formatType = 3.0
    out = BytesIO()
    font.save(out)
    return out.getvalue()


def _to_quadratic(font: TTFont) -> None:
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
    font.sfntVersion = "\x00\x01\x00\x00"


def main() -> None:
    assert set(FILES.values()) == set(SOURCES)
    for name, (source, family, style) in SOURCES.items():
        content = print_face(source, family, style)
        Path(FONTS / name).write_bytes(content)
        print(f"{name}: {len(content) / 1000:.0f} kB")


if __name__ == "__main__":
    main()
