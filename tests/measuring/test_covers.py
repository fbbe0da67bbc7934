"""Things before a face: the bundled shoot has none; one that is drawn is told, and what it hides is not."""

from dataclasses import replace
from math import inf, log

import numpy as np
import pytest
from numpy.typing import NDArray

from eyeline.measuring.covers import (
    HAND_REACH,
    LEAST_BY_A_HAND,
    LEAST_ODDS,
    PART_POINTS,
    cover_odds,
    covered_parts,
    part_odds,
    told,
    without_covered,
)
from eyeline.measuring.eyes import measure_eyes
from eyeline.measuring.face_patch import face_patch
from eyeline.measuring.face_shape import mirrored, posture
from eyeline.measuring.framing import WHOLE, framing
from eyeline.measuring.head import head_angles
from eyeline.terms.face import Hand
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import CHIN, LEFT_EYE, PARTS, RIGHT_EYE
from tests.reading.shoot_pictures import FEW, painted, picture_of, points_of, seen_in, subject, truth

MIRRORED = {LEFT_EYE: RIGHT_EYE, RIGHT_EYE: LEFT_EYE, CHIN: CHIN}


def landmarks_of(file: str) -> NDArray[np.float32]:
    sitter = seen_in(file).sitter
    assert sitter is not None and sitter.landmarks is not None
    return sitter.landmarks


def behind_a_card(file: str, at: tuple[float, float]) -> NDArray[np.uint8]:
    """A white card, as wide as the pupils are apart, about `at`."""
    person = truth()[file]["people"][0]
    half = int(np.hypot(*np.subtract(person["pupil_left"], person["pupil_right"])) / 2)
    rgb = picture_of(file).rgb.copy()
    x, y = (round(each) for each in at)
    rgb[max(0, y - half) : y + half, max(0, x - half) : x + half] = 235
    return rgb


@pytest.mark.parametrize("file", FEW)
def test_nothing_is_before_the_sitters_of_the_shoot(file: str) -> None:
    assert covered_parts(picture_of(file), landmarks_of(file)) == ()


@pytest.mark.parametrize("file", FEW)
@pytest.mark.parametrize(
    ("point", "part"), [("pupil_left", LEFT_EYE), ("pupil_right", RIGHT_EYE), ("chin", CHIN)]
)
def test_a_card_raises_the_odds_of_what_it_covers_above_all_others(file: str, point: str, part: str) -> None:
    bare, card = (
        dict(zip(PARTS, cover_odds(face_patch(rgb, landmarks, posture(landmarks))[0]), strict=True))
        for landmarks in [landmarks_of(file)]
        for rgb in (picture_of(file).rgb, behind_a_card(file, truth()[file]["people"][0][point]))
    )
    assert bare[part] < -log(10)
    assert card[part] > bare[part] + 3
    assert max(card, key=lambda each: card[each]) == part


@pytest.mark.parametrize("file", FEW)
def test_a_mirror_swaps_the_eyes_and_nothing_else(file: str) -> None:
    rgb = behind_a_card(file, truth()[file]["people"][0]["pupil_left"])
    flipped = mirrored(landmarks_of(file), rgb.shape[1])
    mirror = covered_parts(painted(rgb[:, ::-1]), flipped)
    assert {MIRRORED[part] for part in mirror} == set(covered_parts(painted(rgb), landmarks_of(file)))


SURE_THAT_BARE = -5.0
PALM_PX = 100.0


def doubtful(part: int) -> list[float]:
    """Odds of which only those of `part` are in doubt."""
    odds = [SURE_THAT_BARE] * len(PARTS)
    odds[part] = (LEAST_BY_A_HAND[part] + LEAST_ODDS[part]) / 2
    return odds


@pytest.mark.parametrize("part", range(len(PARTS)))
def test_a_hand_decides_where_a_part_that_it_can_reach_is_in_doubt(part: int) -> None:
    landmarks = landmarks_of(FEW[0])
    x, y = (float(each) for each in landmarks[PART_POINTS[part], :2])
    near, far = (Hand((x, y + share * HAND_REACH * PALM_PX), PALM_PX) for share in (0.9, 1.1))
    assert told(doubtful(part), landmarks, lambda: [near]) == (PARTS[part],)
    assert told(doubtful(part), landmarks, lambda: [far]) == ()
    assert told(doubtful(part), landmarks, list) == ()
    assert told([SURE_THAT_BARE] * len(PARTS), landmarks, lambda: [near]) == ()


@pytest.mark.parametrize("odds", [(SURE_THAT_BARE,) * 3, (*LEAST_ODDS[:2], SURE_THAT_BARE), LEAST_ODDS])
def test_no_hand_is_looked_for_where_nothing_is_in_doubt(odds: tuple[float, ...]) -> None:
    def asked() -> list[Hand]:
        raise AssertionError("the hands were asked for")

    expected = tuple(part for part, each in zip(PARTS, odds, strict=True) if each != SURE_THAT_BARE)
    assert told(odds, landmarks_of(FEW[0]), asked) == expected


@pytest.mark.parametrize(("yaw_deg", "away"), [(-60, LEFT_EYE), (-40, None), (40, None), (60, RIGHT_EYE)])
def test_an_eye_that_the_head_turns_away_is_not_called_covered(yaw_deg: float, away: str | None) -> None:
    """Left and right are the viewer's; a face that is turned toward the frame's right hides its right eye."""
    landmarks = landmarks_of(FEW[0]).astype(np.float64)
    middle = landmarks[:468].mean(axis=0)
    present = head_angles(landmarks.astype(np.float32))[0]
    turn = np.radians(yaw_deg - present)
    # y down, z away from the camera: the nose, in front, moves to the right
    about_y = np.array([[np.cos(turn), 0, -np.sin(turn)], [0, 1, 0], [np.sin(turn), 0, np.cos(turn)]])
    turned = ((landmarks - middle) @ about_y.T + middle).astype(np.float32)
    odds = dict(zip(PARTS, part_odds(picture_of(FEW[0]), turned), strict=True))
    assert {part for part, each in odds.items() if each == -inf} == ({away} if away else set())


def test_of_a_covered_eye_no_look_and_no_lid_is_told() -> None:
    file = FEW[0]
    points = replace(points_of(file), covered=(RIGHT_EYE,))
    told = {each.name: each for each in measure_eyes(subject(picture_of(file), seen_in(file), points))}
    assert told["gaze"].value == "unsure"
    for name in ("eye_opening_right", "eyes_open", "gaze_yaw_deg", "gaze_pitch_deg", "gaze_confidence"):
        assert told[name].missing == "something covers the eye on the right"
    assert told["eye_opening_left"].value is not None


def test_behind_a_covered_chin_framing_is_missing_below_and_there_above() -> None:
    points = replace(points_of(FEW[0]), covered=(CHIN,))
    found = framing(points, WHOLE, 3, 2)
    for name in ("chin_room", "head_height", "eye_to_chin"):
        assert np.isnan(found[name][0]), name
    for name in ("eye_line", "eye_x", "headroom", "edge_room"):
        assert not np.isnan(found[name][0]), name


def test_one_covered_eye_leaves_the_eye_line_two_do_not() -> None:
    points = points_of(FEW[0])
    one = framing(replace(points, covered=(LEFT_EYE,)), WHOLE, 3, 2)
    both = framing(replace(points, covered=(LEFT_EYE, RIGHT_EYE)), WHOLE, 3, 2)
    assert one["eye_line"][0] == points.eye_y
    assert np.isnan(both["eye_line"][0]) and np.isnan(both["eye_x"][0])
    assert not np.isnan(both["chin_room"][0])


def test_what_depends_on_no_covered_part_stays() -> None:
    taken = [Measurement("smile", 0.1), Measurement("head_roll_deg", 2.0)]
    assert without_covered(taken, (CHIN,), {"smile": (CHIN,)}) == [
        Measurement("smile", None, "something covers the chin"),
        taken[1],
    ]
    assert without_covered(taken, (), {"smile": PARTS}) == taken


def test_a_blank_face_is_no_error() -> None:
    grey = painted(np.full_like(picture_of(FEW[0]).rgb, 128))
    assert isinstance(covered_parts(grey, landmarks_of(FEW[0])), tuple)
