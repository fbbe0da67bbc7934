"""People are counted, and the code of the scene follows from their number and the shot's scale."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from eyeline.measuring import people, scene_code
from eyeline.measuring.framing import SHOT_SCALES
from eyeline.terms.face import Face, Seen
from eyeline.terms.measurement import FrameSubject, Measurement, Value
from tests.measuring.subjects import frame_subject, subject_of
from tests.reading.shoot_pictures import FEW, picture_of

FACE = Face((0, 0, 10, 10), None, 0.9)


def with_faces(count: int) -> FrameSubject:
    return frame_subject(picture_of(FEW[0]), Seen((FACE,) * count, FACE if count else None, "", None, None))


def code(count: int, scale: str | None, yaw: float | None) -> object:
    known = {
        "people": Measurement("people", count),
        "shot_scale": Measurement("shot_scale", scale, None if scale else "not told"),
        "head_yaw_deg": Measurement("head_yaw_deg", yaw, None if yaw is not None else "not told"),
    }
    (answer,) = scene_code.MEASURE.function(subject_of(picture_of(FEW[0]), known=known))
    return answer.value


@pytest.mark.parametrize("count", [0, 1, 3])
def test_people_is_the_number_of_faces(count: int) -> None:
    found = {each.name: each.value for each in people.MEASURE.function(with_faces(count))}
    assert found["people"] == count


def face(left: float, top: float, size: float) -> Face:
    """A face of `size` pixels, forehead to chin, in a box as wide."""
    landmarks = np.zeros((478, 3), np.float32)
    landmarks[people.FOREHEAD, :2] = left + size / 2, top
    landmarks[people.CHIN, :2] = left + size / 2, top + size
    return Face((left, top, left + size, top + size), landmarks, 0.9)


def of_group(*faces: Face, width: int = 1000) -> dict[str, Value]:
    given = frame_subject(picture_of(FEW[0]), Seen(faces, faces[0], "", None, None))
    measured = people.MEASURE.function(replace(given, frame=replace(given.frame, width=width)))
    return {each.name: each.value for each in measured}


def test_the_spread_of_a_group_is_the_largest_face_over_the_smallest_wherever_they_stand() -> None:
    found = of_group(face(100, 50, 100), face(300, 200, 80), face(700, 20, 130))
    assert found["face_spread"] == pytest.approx(130 / 80)
    tilted = replace(face(100, 50, 100), landmarks=face(100, 50, 100).landmarks[:, [1, 0, 2]])  # type: ignore[index]
    assert of_group(tilted, face(300, 0, 100))["face_spread"] == pytest.approx(1)


def test_the_outermost_face_tells_the_room_beside_a_group() -> None:
    """In its own widths: 50 px of 100 on the left, 170 of 130 on the right."""
    found = of_group(face(50, 50, 100), face(700, 20, 130))
    assert found["outer_edge_room"] == pytest.approx(0.5)
    assert of_group(face(50, 50, 100), face(900, 20, 130))["outer_edge_room"] == pytest.approx(-30 / 130)


def test_one_face_is_no_group_and_a_face_without_landmarks_has_no_size() -> None:
    assert of_group(face(50, 50, 100))["face_spread"] is None
    assert of_group(face(50, 50, 100), FACE)["face_spread"] is None


@pytest.mark.parametrize(
    ("count", "scale", "yaw", "expected"),
    [
        (1, "close-up", 0.0, "011800"),
        (1, "headshot", 20.0, "010100"),
        (1, "half-length", -30.0, "010200"),
        (1, "three-quarter", 0.0, "010600"),
        (1, "full-length", None, "010300"),
        (1, None, 0.0, "010600"),
        (1, "headshot", -75.0, "010400"),
        (2, "headshot", 0.0, "010800"),
        (5, "half-length", 80.0, "010900"),
    ],
)
def test_scene_codes_are_those_of_the_iptc_vocabulary(
    count: int, scale: str | None, yaw: float | None, expected: str
) -> None:
    """IPTC Scene NewsCodes: 010100 headshot, 010200 half-length, 010300 full-length, 010400 profile,
    010600 single, 010800 two, 010900 group, 011800 close-up."""
    assert code(count, scale, yaw) == expected


def test_every_shot_scale_has_a_code() -> None:
    assert set(scene_code.CODES) == set(SHOT_SCALES)
