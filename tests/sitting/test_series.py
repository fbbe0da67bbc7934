from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from eyeline.sitting.series import SERIES_PAUSE_SECONDS, hash_distance, series
from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Value
from tests.sitting.invented import shot


def lengths(*shots: Shot) -> list[int]:
    return [len(each) for each in series(shots, range(len(shots)))]


def test_one_pose_seconds_apart_is_a_series() -> None:
    assert lengths(*(shot(number, 3.0 * number, head_yaw_deg=8.0 + number) for number in range(5))) == [5]


def test_a_pause_ends_it() -> None:
    assert lengths(shot(1, 0), shot(2, 3), shot(3, 3 + SERIES_PAUSE_SECONDS + 1)) == [2, 1]


@pytest.mark.parametrize(
    ("measure", "value"),
    [
        ("head_yaw_deg", -8.0),
        ("head_pitch_deg", 12.0),
        ("head_roll_deg", 14.0),
        ("eye_x", 0.35),
        ("eye_line", 0.5),
        ("eye_to_chin", 0.25),
        ("frame_format", "landscape"),
        ("picture_hash", "f0f0f0f0f0f0f0f0"),
    ],
)
def test_another_pose_or_framing_is_another_series(measure: str, value: Value) -> None:
    changed = {measure: value}
    assert lengths(shot(1, 0), shot(2, 2, **changed), shot(3, 4, **changed)) == [1, 2]


def test_eyes_that_leave_the_lens_begin_another() -> None:
    away: dict[str, Value] = {"gaze": "right", "gaze_yaw_deg": 20.0}
    assert lengths(shot(1, 0), shot(2, 2), shot(3, 4, **away), shot(4, 6, **away)) == [2, 2]


def test_a_blink_ends_no_series() -> None:
    """Lids hide where the eyes point, and the landmarks nod with them."""
    blink: dict[str, Value] = {
        "eyes_open": 0.02,
        "gaze": "closed",
        "gaze_yaw_deg": 17.0,
        "gaze_pitch_deg": None,
        "head_pitch_deg": -8.0,
    }
    assert lengths(shot(1, 0), shot(2, 2, **blink), shot(3, 4)) == [3]


def test_one_frame_that_stands_out_ends_no_series() -> None:
    assert lengths(shot(1, 0), shot(2, 1, head_yaw_deg=35.0), shot(3, 2), shot(4, 3)) == [3, 1]


def test_cameras_are_kept_apart() -> None:
    assert lengths(shot(1, 0), shot(2, 1, serial="1002"), shot(3, 2), shot(4, 3, serial="1002")) == [2, 2]


def test_without_times_only_near_duplicates_are_a_series() -> None:
    assert lengths(shot(1, None), shot(2, None)) == [2]
    assert lengths(shot(1, None), shot(2, None, picture_hash="0f0f0f0f0ff0ffff")) == [1, 1]
    assert lengths(shot(1, None, picture_hash=None), shot(2, None, picture_hash=None)) == [1, 1]


def test_hash_distance_counts_bits() -> None:
    assert hash_distance("ffffffffffffffff", "0000000000000000") == 64
    assert hash_distance("0f", "0e") == 1
    assert hash_distance(None, "0e") is None


@given(some.lists(some.tuples(some.floats(0, 60), some.floats(-60, 60)), max_size=15))
def test_every_frame_is_in_exactly_one_series(frames: list[tuple[float, float]]) -> None:
    shots = [shot(n, at, head_yaw_deg=yaw) for n, (at, yaw) in enumerate(sorted(frames))]
    rows = [row for each in series(shots, range(len(shots))) for row in each]
    assert sorted(rows) == list(range(len(shots)))
