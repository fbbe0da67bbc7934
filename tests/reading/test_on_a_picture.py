"""A face on a picture within the scene, recognised by the picture's border. Drawn rectangles."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from eyeline.reading.on_a_picture import is_on_a_picture
from eyeline.reading.picture import reduced
from eyeline.terms.frame import Picture

FACE = (350.0, 300.0, 470.0, 440.0)
BORDER = (260, 180, 560, 620)


def wall(border: bool = True, chest: bool = False, gap: float = 0.0) -> Picture:
    """A grey wall with a dark border about FACE; `chest` stands before its lower side, `gap` opens it."""
    rgb = np.full((1000, 800, 3), 170, np.uint8)
    left, top, right, bottom = BORDER
    if border:
        cv2.rectangle(rgb, (left, top), (right, bottom), (60, 60, 60), 8)
    if chest:
        cv2.ellipse(rgb, (410, 700), (130, 240), 0, 0, 360, (150, 90, 80), -1)
    if gap:
        rgb[bottom - 10 : bottom + 10, left + 20 : left + 20 + int(gap * (right - left))] = 170
    return Picture(rgb, reduced(rgb))


def test_a_face_within_an_unbroken_border_is_on_a_picture() -> None:
    assert is_on_a_picture(wall(), FACE)


def test_a_face_before_a_plain_wall_is_in_the_scene() -> None:
    assert not is_on_a_picture(wall(border=False), FACE)


def test_a_chest_before_the_lower_border_is_somebody_in_the_scene() -> None:
    assert not is_on_a_picture(wall(chest=True), FACE)


@pytest.mark.parametrize(("gap", "expected"), [(0.03, True), (0.4, False)])
def test_a_glint_does_not_open_a_border_but_an_opening_does(gap: float, expected: bool) -> None:
    assert is_on_a_picture(wall(gap=gap), FACE) is expected


@pytest.mark.parametrize("scale", [0.5, 2.0])
def test_size_does_not_matter(scale: float) -> None:
    rgb = cv2.resize(wall().rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    left, top, right, bottom = (edge * scale for edge in FACE)
    assert is_on_a_picture(Picture(rgb, reduced(rgb)), (left, top, right, bottom))
