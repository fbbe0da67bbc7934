from __future__ import annotations

import pytest

from eyeline.sitting.set_measures import set_measures
from eyeline.sitting.shot import Shot
from eyeline.sitting.usual_gaze import LEAST_FRAMES, MOST_DEG, gaze_from, zero_of_gaze
from tests.sitting.invented import shot


def looking(number: int, yaw: float, pitch: float, word: str = "camera", sure: float = 0.9) -> Shot:
    return shot(
        number, 10.0 * number, gaze_yaw_deg=yaw, gaze_pitch_deg=pitch, gaze=word, gaze_confidence=sure
    )


def test_a_sitter_who_seems_to_look_up_into_the_lens_has_a_zero_there() -> None:
    shots = [looking(n, -1.0, 6.0) for n in range(12)]
    zero = zero_of_gaze(shots)
    assert zero == pytest.approx((-0.75, 4.5))  # 12 / (12 + 4) of it
    found = set_measures([*shots, looking(12, -1.0, 12.5, "up", 0.5)])
    assert found[-1]["gaze_pitch_deg"].value == 8.0  # above this sitter's lens, and inside the border
    assert found[-1]["gaze"].value in ("camera", "unsure")
    assert found[0]["gaze"].value == "camera" and float(found[0]["gaze_confidence"].value or 0) >= 0.9


def test_a_look_beside_the_lens_stays_one() -> None:
    shots = [*(looking(n, 0.5, -1.0) for n in range(8)), looking(9, 22.0, -1.0, "right", 0.97)]
    away = set_measures(shots)[-1]
    assert away["gaze"].value == "right" and float(away["gaze_confidence"].value or 0) >= 0.97


def test_the_zero_moves_no_farther_than_an_eyes_own_angle() -> None:
    zero = zero_of_gaze([looking(n, 7.9, 11.9) for n in range(100)])
    assert zero == (MOST_DEG, MOST_DEG)


def test_what_is_at_the_border_is_unsure() -> None:
    zero = (0.0, 0.0)
    at_border = {each.name: each.value for each in gaze_from(looking(1, 8.0, 0.0, "unsure", 0.3), zero)}
    assert at_border["gaze"] == "unsure"


def test_few_frames_or_none_into_the_lens_tell_no_zero() -> None:
    assert zero_of_gaze([looking(n, 1.0, 1.0) for n in range(LEAST_FRAMES - 1)]) is None
    assert zero_of_gaze([looking(n, 20.0, 1.0, "right") for n in range(20)]) is None


def test_closed_eyes_have_no_angles_and_keep_their_word() -> None:
    closed = shot(9, 90, gaze="closed", gaze_yaw_deg=None, gaze_pitch_deg=None, eyes_open=0.01)
    found = set_measures([*(looking(n, 2.0, 2.0) for n in range(6)), closed])
    assert "gaze" not in found[-1]
