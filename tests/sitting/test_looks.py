from __future__ import annotations

from eyeline.sitting.looks import looks
from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Value
from tests.sitting.invented import darker, shot

BLUE_PAPER: dict[str, Value] = {"background_lightness": 45.0, "background_a": 5.0, "background_b": -30.0}
BLACK_PAPER: dict[str, Value] = {"background_lightness": 8.0, "background_a": 0.0, "background_b": 0.0}
RED_SHIRT: dict[str, Value] = {"clothes_lightness": 40.0, "clothes_a": 50.0, "clothes_b": 25.0}


def lengths(*frames: dict[str, Value]) -> list[int]:
    shots: list[Shot] = [shot(number, 8.0 * number, **changed) for number, changed in enumerate(frames)]
    return [len(each) for each in looks(shots, range(len(shots)))]


def test_one_look_stays_one_while_the_pose_changes() -> None:
    assert lengths({}, {"head_yaw_deg": 40.0}, {"eye_x": 0.3}, {}) == [4]


def test_another_backdrop_jacket_or_light_is_another_look() -> None:
    for other in (BLUE_PAPER, BLACK_PAPER, RED_SHIRT, {"face_luminance": 0.1}):
        assert lengths({}, {}, {}, other, other, other) == [3, 3]


def test_exposure_alone_is_no_other_look() -> None:
    assert lengths({}, {}, darker(1.5), darker(1.5), darker(1.5), {}) == [6]


def test_one_or_two_frames_that_differ_are_no_look() -> None:
    assert lengths({}, {}, BLUE_PAPER, BLUE_PAPER, {}, {}) == [6]


def test_at_the_end_a_change_counts_at_once() -> None:
    assert lengths({}, {}, {}, BLUE_PAPER) == [3, 1]


def test_what_a_frame_does_not_show_parts_nothing() -> None:
    unseen: dict[str, Value] = {f"background_{axis}": None for axis in ("lightness", "a", "b")}
    assert lengths({}, unseen, {}, unseen) == [4]


def test_nobody_has_no_look() -> None:
    assert looks([], []) == ()
