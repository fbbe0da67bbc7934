"""People are counted, and the code of the scene follows from their number and the shot's scale."""

from __future__ import annotations

import pytest

from eyeline.measuring import people, scene_code
from eyeline.measuring.framing import SHOT_SCALES
from eyeline.terms.face import Face, Seen
from eyeline.terms.measurement import Measurement, Subject
from tests.reading.shoot_pictures import FEW, picture_of, subject

FACE = Face((0, 0, 10, 10), None, 0.9)


def with_faces(count: int) -> Subject:
    return subject(picture_of(FEW[0]), Seen((FACE,) * count, FACE if count else None, "", None, None), None)


def code(count: int, scale: str | None, yaw: float | None) -> object:
    known = {
        "people": Measurement("people", count),
        "shot_scale": Measurement("shot_scale", scale, None if scale else "not told"),
        "head_yaw_deg": Measurement("head_yaw_deg", yaw, None if yaw is not None else "not told"),
    }
    given = with_faces(count)
    (answer,) = scene_code.MEASURE.function(
        Subject(given.frame, given.picture, given.seen, given.points, known)
    )
    return answer.value


@pytest.mark.parametrize("count", [0, 1, 3])
def test_people_is_the_number_of_faces(count: int) -> None:
    assert [each.value for each in people.MEASURE.function(with_faces(count))] == [count]


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
