"""The faces for print are what the bundled fonts make, and hold what names are written in."""

from __future__ import annotations

from io import BytesIO

import pytest
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont

from eyeline.pages.pdf_fonts import FILES, FONTS
from tests.pages.print_faces import SOURCES, print_face


def outlines(font: TTFont, letters: str) -> list[object]:
    drawn, named = font.getGlyphSet(), font.getBestCmap()
    found = []
    for letter in letters:
        pen = RecordingPen()
        drawn[named[ord(letter)]].draw(pen)
        found.append((named[ord(letter)] != ".notdef", drawn[named[ord(letter)]].width, pen.value))
    return found


@pytest.mark.parametrize("name", ["EyelineWords-Regular.ttf", "EyelineFigures-Bold.ttf"])
def test_they_are_current(name: str) -> None:
    """Written by: python -m tests.pages.print_faces. Outlines are compared, since another fontTools may lay
    tables out otherwise."""
    kept, made = TTFont(FONTS / name), TTFont(BytesIO(print_face(*SOURCES[name])))
    assert kept.getBestCmap().keys() == made.getBestCmap().keys()
    assert outlines(kept, "Ag80%ß") == outlines(made, "Ag80%ß")


@pytest.mark.parametrize("name", sorted(FILES.values()))
def test_they_have_a_name_of_their_own_and_the_letters_of_europe(name: str) -> None:
    font = TTFont(FONTS / name)
    names = " ".join(record.toUnicode() for record in font["name"].names if record.nameID in (1, 4, 6))
    assert "Eyeline" in names and "Gentium" not in names and "Gyre" not in names
    assert set(map(ord, "ÆØåßçñőžłİ–“”…€ 0123456789%°×")) <= set(font.getBestCmap())
