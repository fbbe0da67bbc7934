"""Lines over a picture: the corners of a crop, and geometry that leaves the face free."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.pages.overlay import Stroke, corner_marks, geometry
from eyeline.pages.stave import hung
from eyeline.terms.measurement import Measurement
from eyeline.terms.rectangle import Rectangle
from tests.pages.invented import POINTS

FRAME = hung(4000, 6000, POINTS)

areas = st.tuples(st.floats(0, 0.8), st.floats(0, 0.8), st.floats(0.05, 1), st.floats(0.05, 1)).map(
    lambda each: Rectangle(each[0], each[1], min(each[2], 1 - each[0]), min(each[3], 1 - each[1]))
)


def known(gaze: float, head: float = 0.0) -> dict[str, Measurement]:
    return {
        name: Measurement(name, value)
        for name, value in (("gaze_yaw_deg", gaze), ("head_yaw_deg", head), ("gaze", "left"))
    }


def reach(strokes: tuple[Stroke, ...]) -> tuple[float, float, float, float]:
    x, y = zip(*(point for stroke in strokes for point in stroke.points), strict=True)
    return min(x), min(y), max(x), max(y)


@given(areas)
def test_corners_mark_exactly_the_crop(area: Rectangle) -> None:
    marks = corner_marks(area, FRAME)
    assert len(marks) == 4
    wanted = (
        area.left * FRAME.width,
        area.top * FRAME.height,
        area.right * FRAME.width,
        area.bottom * FRAME.height,
    )
    assert reach(marks) == pytest.approx(wanted)


@pytest.mark.parametrize(("gaze", "side"), [(-20.0, -1), (20.0, 1)])
def test_the_arrow_points_where_the_sitter_looks(gaze: float, side: int) -> None:
    """+ = frame right (docs/measures.md, signs)."""
    with_look, without = geometry(POINTS, known(gaze), FRAME), geometry(POINTS, known(0.0), FRAME)
    arrow = with_look[len(without) :]
    shaft = arrow[0].points
    assert (shaft[1][0] - shaft[0][0]) * side > 0
    far = geometry(POINTS, known(3 * gaze), FRAME)[len(without)].points
    assert abs(far[1][0] - far[0][0]) > abs(shaft[1][0] - shaft[0][0])


def test_into_the_lens_there_is_no_arrow() -> None:
    assert len(geometry(POINTS, known(0.0), FRAME)) < len(geometry(POINTS, known(25.0), FRAME))


def test_no_line_but_the_thirds_crosses_the_face() -> None:
    left, right = POINTS.head_left * FRAME.width, POINTS.head_right * FRAME.width
    eyes = POINTS.eye_y * FRAME.height
    for stroke in geometry(POINTS, known(25.0), FRAME):
        if stroke.dashed:
            continue
        (x, y), (other_x, other_y) = stroke.points[0], stroke.points[1]
        if y == other_y == pytest.approx(eyes):
            assert max(x, other_x) <= left or min(x, other_x) >= right


def test_what_is_cut_is_not_drawn() -> None:
    whole = geometry(POINTS, known(0.0), FRAME)
    assert len(geometry(replace(POINTS, crown_cut=True), known(0.0), FRAME)) == len(whole) - 2
    assert len(geometry(replace(POINTS, chin_cut=True), known(0.0), FRAME)) == len(whole) - 1


def test_the_largest_calm_area_is_outlined() -> None:
    small, large = Rectangle(0, 0, 0.1, 0.1), Rectangle(0.7, 0.2, 0.25, 0.5)
    outline = geometry(replace(POINTS, calm=(small, large)), known(0.0), FRAME)[-1]
    assert outline.dashed and outline.points[0] == outline.points[-1]
    assert reach((outline,)) == pytest.approx(
        (0.7 * FRAME.width, 0.2 * FRAME.height, 0.95 * FRAME.width, 0.7 * FRAME.height)
    )
