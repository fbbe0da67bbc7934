"""Laws of the stave: the eyes on one line, one scale, nothing overlaps."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.pages.stave import DIAGONAL, Hung, hung, rows, stave
from eyeline.terms.points import Points

sides = st.integers(200, 12_000)
fractions = st.floats(-0.5, 1.5)


def points(eye_y: float) -> Points:
    return Points((0.4, eye_y), (0.6, eye_y), (0.5, 0.9), False, 0.1, False, None, 0.3, 0.7)


frames = st.builds(hung, sides, sides, st.builds(points, fractions) | st.none())


def test_a_frame_of_three_to_two_is_as_large_as_film_is_in_millimetres() -> None:
    """36 by 24 mm, ISO 1007."""
    found = hung(6000, 4000, points(0.5))
    assert (found.width, found.height, found.above) == pytest.approx((36, 24, 12))


@given(st.lists(frames, min_size=1, max_size=30))
def test_all_eyes_are_on_one_line_and_all_frames_on_the_stave(hanging: list[Hung]) -> None:
    line = stave(hanging)
    for each in hanging:
        assert line.top(each) + each.above == pytest.approx(line.above)
        assert line.top(each) >= -1e-9
        assert line.top(each) + each.height <= line.height + 1e-9


@given(sides, sides, fractions)
def test_every_frame_has_one_scale_and_its_own_shape(width: int, height: int, eye_y: float) -> None:
    found = hung(width, height, points(eye_y))
    assert hypot(found.width, found.height) == pytest.approx(DIAGONAL)
    assert found.width / found.height == pytest.approx(width / height)
    assert 0 <= found.above <= found.height


@given(st.integers(200, 6000), st.integers(200, 6000), fractions)
def test_the_same_frame_at_twice_the_pixels_hangs_the_same(width: int, height: int, eye_y: float) -> None:
    one, two = hung(width, height, points(eye_y)), hung(2 * width, 2 * height, points(eye_y))
    assert (one.width, one.height, one.above) == pytest.approx((two.width, two.height, two.above))


@given(st.lists(st.floats(1, 200), max_size=60), st.floats(0, 20), st.floats(50, 400))
def test_rows_hold_every_frame_once_and_none_is_too_long(
    widths: list[float], gap: float, most: float
) -> None:
    found = rows(widths, gap, most)
    assert [place for row in found for place in row] == list(range(len(widths)))

    def length(row: range) -> float:
        return sum(widths[place] for place in row) + gap * (len(row) - 1)

    for row in found:
        assert len(row) == 1 or length(row) <= most + 1e-6
    for row, following in pairwise(found):
        assert length(range(row.start, following.start + 1)) > most - 1e-6, "it would have fitted"
