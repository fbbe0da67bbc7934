"""Framing and the look: which way it goes, and the room ahead of it."""

from dataclasses import replace
from math import hypot, sqrt

import pytest

from eyeline.measuring.framing import look_of, look_side
from eyeline.terms.measurement import Measurement
from tests.measuring.test_framing import SITTER, at


@pytest.mark.parametrize(
    ("gaze", "head", "side"),
    [
        (20.0, -30.0, 1),
        (-8.0, 30.0, -1),
        (7.9, -10.0, -1),
        (7.9, 9.9, 0),
        (None, 12.0, 1),
        (None, None, 0),
        (3.0, None, 0),
    ],
)
def test_the_look_is_the_eyes_when_off_the_lens_else_the_face(
    gaze: float | None, head: float | None, side: int
) -> None:
    """docs/measures.md, "the look" and `lead_room`."""
    assert look_side(gaze, head) == side


def test_an_unsure_gaze_does_not_decide_the_look() -> None:
    known = {
        "gaze": Measurement("gaze", "unsure"),
        "gaze_yaw_deg": Measurement("gaze_yaw_deg", -15.0),
        "head_yaw_deg": Measurement("head_yaw_deg", 20.0),
    }
    assert look_of(known) == 1
    assert look_of({**known, "gaze": Measurement("gaze", "left")}) == -1
    assert look_of({}) == 0


def test_distance_to_the_thirds_point() -> None:
    """published values: (1/3,1/3) -> 0; (0.5,0.5) -> sqrt(2)/6; (0,0) -> sqrt(2)/3."""

    def third(x: float) -> float:
        return at(replace(SITTER, pupil_left=(x, 0.3), pupil_right=(x, 0.3)))["third_distance"]

    for x, expected in ((1 / 3, 0.0), (0.5, sqrt(2) / 6), (0.0, sqrt(2) / 3)):
        assert hypot(third(x), third(x)) == pytest.approx(expected, abs=1e-6)
        assert third(1 - x) == pytest.approx(third(x), abs=1e-9)


def test_room_ahead_over_room_behind_and_its_mirror() -> None:
    """published values: face centre at 0.35, look to the right -> 0.65 / 0.35 = 1.857."""
    thin = replace(SITTER, head_left=0.35, head_right=0.35)
    right = at(thin, look=1)
    assert right["room_right"] / right["room_left"] == pytest.approx(1.857, abs=1e-3)
    mirrored = at(replace(SITTER, head_left=0.65, head_right=0.65), look=-1)
    assert mirrored["lead_room"] == pytest.approx(right["lead_room"], abs=1e-9)
    assert right["edge_room"] is None
