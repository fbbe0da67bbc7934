"""Boxes of pixels: inside the picture, of the size's shape, the same place however the file is stored."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from eyeline.delivery.box import Box, box_of, stored_box
from eyeline.terms.rectangle import Rectangle

SIDE = some.integers(40, 6000)
PART = some.floats(0, 1)


@given(SIDE, SIDE, PART, PART, some.floats(0.05, 1), some.floats(0.3, 3))
def test_a_box_is_inside_and_has_the_ratio(
    width: int, height: int, x: float, y: float, part: float, ratio: float
) -> None:
    area = Rectangle(x * (1 - part), y * (1 - part), part, part)
    box = box_of(area, width, height, ratio)
    assert box.left >= 0 and box.left + box.width <= width
    assert box.top >= 0 and box.top + box.height <= height
    assert abs(box.width - box.height * ratio) <= max(1.0, ratio)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_stored_box_shows_what_the_upright_one_shows(orientation: int) -> None:
    # CIPA DC-008, 4.6.4: what brings the stored picture upright, by numpy alone.
    stored = np.arange(5 * 8).reshape(5, 8)
    turns = {
        1: lambda a: a,
        2: np.fliplr,
        3: lambda a: np.rot90(a, 2),
        4: np.flipud,
        5: lambda a: a.T,
        6: lambda a: np.rot90(a, -1),
        7: lambda a: np.rot90(a, 2).T,
        8: np.rot90,
    }
    upright = turns[orientation](stored)
    height, width = upright.shape
    box = Box(1, 2, 3, 2)
    found = stored_box(box, width, height, orientation)
    part = stored[found.top : found.top + found.height, found.left : found.left + found.width]
    assert (turns[orientation](part) == upright[2:4, 1:4]).all()


def test_orientation_nine_is_refused() -> None:
    with pytest.raises(ValueError, match="1 to 8"):
        stored_box(Box(0, 0, 1, 1), 2, 2, 9)
