from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from eyeline.sitting.set_measures import set_measures
from eyeline.sitting.shot import Shot
from eyeline.sitting.usual_eyes import LEAST_FRAMES, eyes_open, usual_opening
from tests.sitting.invented import shot


def sitting(*openings: float, alone: float = 0.95) -> list[Shot]:
    return [
        shot(n, 10 * n, eye_opening_left=each, eye_opening_right=each, eyes_open=alone)
        for n, each in enumerate(openings)
    ]


def found(shots: list[Shot]) -> list[float]:
    return [float(each["eyes_open"].value or 0) for each in set_measures(shots)]


def test_the_usual_is_that_of_open_eyes_though_some_blink() -> None:
    assert usual_opening(sitting(0.30, 0.31, 0.05, 0.30, 0.10, 0.29, 0.30)) == pytest.approx(0.30, abs=0.01)


def test_a_sitter_with_narrow_eyes_is_not_blinking_all_day() -> None:
    """A frame alone would call each of these half shut."""
    assert min(found(sitting(0.15, 0.16, 0.15, 0.155, 0.16, 0.15, alone=0.3))) > 0.8


@pytest.mark.parametrize("opening", [0.30, 0.21, 0.20])
def test_narrow_eyes_are_open_against_their_own(opening: float) -> None:
    """published values: one face, 0.30 open and 0.20 looking down, of a sitter whose own usual is 0.21;
    the frame alone cannot tell.
    """
    measured = eyes_open(sitting(opening, alone=0.5)[0], 0.21)
    assert measured is not None and float(measured.value or 0) >= 0.9


def test_a_tenth_is_a_blink_even_of_narrow_eyes() -> None:
    """published values: the floor is about 0.10."""
    measured = eyes_open(sitting(0.10, alone=0.5)[0], 0.21)
    assert measured is not None and float(measured.value or 0) < 0.1


def test_eyes_that_are_shut_in_most_frames_are_not_narrow() -> None:
    assert max(found(sitting(*[0.05] * 9, alone=0.03))) <= 0.03


def test_a_half_blink_of_wide_eyes_is_seen_though_the_frame_alone_is_not_sure() -> None:
    blink = shot(9, 90, eye_opening_left=0.17, eye_opening_right=0.17, eyes_open=0.5)
    frames = [*sitting(0.34, 0.35, 0.34, 0.33, 0.34), blink]
    assert found(frames)[-1] < 0.12 and min(found(frames)[:-1]) > 0.95


def test_of_few_frames_nobody_knows_what_is_usual() -> None:
    frames = sitting(*[0.3] * (LEAST_FRAMES - 1))
    assert usual_opening(frames) is None
    assert all("eyes_open" not in each for each in set_measures(frames))


def test_a_face_turned_far_away_is_judged_by_itself() -> None:
    turned = shot(9, 90, eye_opening_left=0.08, eye_opening_right=0.25, eyes_open=0.8, head_yaw_deg=-42.0)
    assert "eyes_open" not in set_measures([*sitting(*[0.3] * 6), turned])[-1]


def test_what_was_not_measured_stays_missing() -> None:
    frames = [*sitting(*[0.3] * 6), shot(9, 90, eyes_open=None)]
    assert "eyes_open" not in set_measures(frames)[-1]
    assert eyes_open(frames[0], None) is None and eyes_open(frames[0], 0.0) is None


@given(some.floats(0, 1), some.floats(0.05, 0.6), some.floats(0.0, 0.6), some.floats(0.0, 0.6))
def test_wider_is_more_open(alone: float, usual: float, one: float, other: float) -> None:
    low, high = (
        eyes_open(each, usual)
        for each in (sitting(min(one, other), alone=alone) + sitting(max(one, other), alone=alone))
    )
    assert low is not None and high is not None
    assert 0 <= float(low.value or 0) <= float(high.value or 0) <= 1
