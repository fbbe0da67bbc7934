"""Finals: places of a frame are found again in them, and which frame it is.

The long form is `python -m tests.finals.three_hundred`; its figures stand in docs/delivery.md.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from eyeline.finals.match import match
from eyeline.finals.transform import Transform
from eyeline.terms.rectangle import Rectangle
from tests.finals.made import SHOOT, frame_pixels, made_final
from tests.finals.three_hundred import GOAL, error_of, odd_frames, reduced

FRAMES = odd_frames()

SMALL_PX = 600
"""Enough to tell frames apart, and a third of the work."""


@pytest.mark.parametrize(("row", "turn_deg"), [(0, 2.0), (17, -2.0)])
def test_places_are_carried_within_three_thousandths_of_the_width(row: int, turn_deg: float) -> None:
    pixels = frame_pixels(FRAMES[row])
    error = error_of(pixels, reduced(pixels), 500 + row, turn_deg)
    assert error is not None and error <= GOAL


def test_the_frame_is_found_by_number_and_by_picture_and_a_wrong_number_does_not_mislead() -> None:
    pixels = [frame_pixels(path) for path in FRAMES[:2]]
    frames = [reduced(each, SMALL_PX) for each in pixels]
    final = reduced(made_final(pixels[1], 77).pixels, SMALL_PX)
    by_number = match(final, 2, (1,), lambda place: frames[place])
    assert (by_number.place, by_number.named) == (1, True)
    by_picture = match(final, 2, (), lambda place: frames[place])
    assert (by_picture.place, by_picture.named) == (1, False)
    misnamed = match(final, 2, (0,), lambda place: frames[place])
    assert (misnamed.place, misnamed.named) in ((1, False), (None, False))
    twice = match(final, 2, (), lambda place: frames[1])
    assert twice.place is None and len(twice.rivals) == 2
    noise = reduced(np.random.default_rng(3).integers(0, 256, (400, 300, 3), dtype=np.uint8))
    assert match(noise, 2, (0,), lambda place: frames[place]).place is None


def test_the_next_frame_of_a_series_is_told_and_not_taken() -> None:
    """Two frames of one series, one alone at hand: NL1_1015 is NL1_1014 with the head moved a little."""
    final = reduced(made_final(frame_pixels(SHOOT / "NL1_1014.jpg"), 5).pixels)
    beside = reduced(frame_pixels(SHOOT / "NL1_1015.jpg"))
    found = match(final, 1, (), lambda _: beside)
    assert (found.place, found.rivals) == (None, (0,))


SIZE = some.integers(200, 6000)


@given(
    some.floats(0.3, 3), some.floats(-0.1, 0.1), some.floats(-500, 500), some.floats(-500, 500), SIZE, SIZE
)
def test_a_place_and_an_area_come_back(
    a: float, b: float, across: float, down: float, width: int, height: int
) -> None:
    transform = Transform(a, b, across, down)
    x, y = transform.origin(*transform.place(123.0, 456.0))
    assert (x, y) == (pytest.approx(123, abs=1e-6), pytest.approx(456, abs=1e-6))
    area = Rectangle(0.2, 0.3, 0.4, 0.5)
    carried = transform.carried(area, (width, height), (width, height))
    if carried is not None and 0 < carried.left < 1 - carried.width and 0 < carried.top < 1 - carried.height:
        back = transform.back(carried, (width, height), (width, height))
        assert (back.left, back.top) == (pytest.approx(0.2, abs=1e-9), pytest.approx(0.3, abs=1e-9))


def test_an_area_beyond_the_final_is_refused() -> None:
    half = Transform(1.0, 0.0, -500.0, 0.0)  # the final begins at the frame's middle
    assert half.carried(Rectangle(0.0, 0.0, 0.4, 0.4), (1000, 1000), (500, 1000)) is None
    assert half.carried(Rectangle(0.6, 0.0, 0.4, 0.4), (1000, 1000), (500, 1000)) == Rectangle(
        pytest.approx(0.2), 0.0, pytest.approx(0.8), pytest.approx(0.4)
    )
