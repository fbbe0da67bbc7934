"""A well-framed frame against itself with one thing spoilt: the original scores higher.

Judged as shot, on genres for which it is a spoiling; a tie is a failure. Framing is spoilt
arithmetically, through the sitter's points.
"""

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import pytest

from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from tests.judging.photos import judged, photo, sitter

PAIRS = 200
SHARE_WON = 0.97


@dataclass(frozen=True)
class Shot:
    """A well-framed frame on its genre: the sitter, the frame's size, what else is measured."""

    genre: str
    points: Points
    width: int
    height: int
    extra: dict[str, float | str | bool]

    def measured(self, **changed: float | str | bool) -> dict[str, Measurement]:
        return photo(self.points, self.width, self.height, **{**self.extra, **changed})

    def at(self, points: Points, **changed: float | str | bool) -> dict[str, Measurement]:
        return replace(self, points=points).measured(**changed)


def common(chance: random.Random) -> dict[str, float | str | bool]:
    """What varies between sound frames of any genre."""
    return {
        "head_yaw_deg": chance.uniform(-20, 20),
        "head_pitch_deg": chance.uniform(-6, 6),
        "head_roll_deg": chance.uniform(-2, 2),
        "eyes_open": chance.uniform(0.85, 1.0),
        "eye_blur_iris": chance.uniform(0.008, 0.025),
        "light_ratio_stops": chance.uniform(-1.5, 1.5),
        "exposure_off_stops": chance.uniform(-0.3, 0.3),
        "gaze_yaw_deg": chance.uniform(-5, 5),
    }


def headshot(chance: random.Random) -> Shot:
    head = chance.uniform(0.38, 0.50)
    points = sitter(0.06 + 0.51 * head + chance.uniform(0, 0.05), head, chance.uniform(0.46, 0.54))
    return Shot("corporate headshot", points, 1600, 2000, common(chance))


def landscape(chance: random.Random) -> Shot:
    head = chance.uniform(0.38, 0.50)
    eye_x = 1 / 3 + chance.uniform(-0.04, 0.04)
    extra = common(chance)
    extra["head_yaw_deg"] = abs(float(extra["head_yaw_deg"]))  # toward the room on the right
    points = sitter(0.07 + 0.51 * head + chance.uniform(0, 0.04), head, eye_x, 3000, 2000)
    return Shot("corporate headshot", points, 3000, 2000, extra)


def keeper(chance: random.Random) -> Shot:
    head = chance.uniform(0.25, 0.36)
    eye_x = 1 / 3 + chance.uniform(-0.05, 0.05)
    extra = common(chance)
    extra["head_yaw_deg"] = abs(float(extra["head_yaw_deg"]))
    points = sitter(0.15 + 0.51 * head + chance.uniform(0, 0.06), head, eye_x, 3000, 2000)
    return Shot("loose keeper", points, 3000, 2000, extra)


def advertising(chance: random.Random) -> Shot:
    head = chance.uniform(0.30, 0.46)
    eye_x = 1 / 3 + chance.uniform(-0.04, 0.04)
    extra = common(chance) | {
        "gaze": "right",
        "gaze_yaw_deg": chance.uniform(15, 35),
        "head_yaw_deg": chance.uniform(10, 30),
        "copy_space": "right",
        "copy_space_right": chance.uniform(0.25, 0.5),
        "copy_space_contrast": chance.uniform(5, 15),
    }
    points = sitter(0.08 + 0.51 * head + chance.uniform(0, 0.06), head, eye_x, 3000, 2000)
    return Shot("copy space right", points, 3000, 2000, extra)


def shifted(points: Points, x: float = 0.0, y: float = 0.0) -> Points:
    """The sitter moved by fractions of the frame; what leaves the frame is cut."""
    crown = None if points.crown_y is None else points.crown_y + y
    return replace(
        points,
        pupil_left=(points.pupil_left[0] + x, points.pupil_left[1] + y),
        pupil_right=(points.pupil_right[0] + x, points.pupil_right[1] + y),
        chin=(points.chin[0] + x, points.chin[1] + y),
        chin_cut=points.chin[1] + y > 1,
        crown_y=crown if crown is None else max(crown, 0.0),
        crown_cut=crown is not None and crown < 0,
        head_left=points.head_left + x,
        head_right=points.head_right + x,
    )


def to_the_edge(shot: Shot) -> dict[str, Measurement]:
    width = shot.points.head_right - shot.points.head_left
    return shot.at(shifted(shot.points, x=0.08 * width - shot.points.head_left))


def crown_cut(shot: Shot) -> dict[str, Measurement]:
    assert shot.points.crown_y is not None
    return shot.at(shifted(shot.points, y=-shot.points.crown_y - 0.03))


def eyes_at_half_height(shot: Shot) -> dict[str, Measurement]:
    return shot.at(shifted(shot.points, y=0.5 - shot.points.eye_y))


def centred(shot: Shot) -> dict[str, Measurement]:
    return shot.at(shifted(shot.points, x=0.5 - shot.points.eye_x))


def chin_at_the_bottom(shot: Shot) -> dict[str, Measurement]:
    return shot.at(shifted(shot.points, y=0.995 - shot.points.chin[1]))


def tilted(shot: Shot) -> dict[str, Measurement]:
    roll = float(shot.extra["head_roll_deg"])
    return shot.measured(head_roll_deg=roll + (6 if roll >= 0 else -6))


def blurred(shot: Shot) -> dict[str, Measurement]:
    sigma = float(shot.extra["eye_blur_iris"])
    iris_px = 40.0
    softer = (sigma**2 + 0.06**2) ** 0.5
    return shot.measured(eye_blur_iris=softer, eye_blur_px=softer * iris_px)


def eyes_closed(shot: Shot) -> dict[str, Measurement]:
    return shot.measured(eyes_open=0.02, gaze="closed")


def no_lead_room(shot: Shot) -> dict[str, Measurement]:
    """Mirrored in place: the room is behind the look."""
    eye_x = shot.points.eye_x
    return shot.at(shifted(shot.points, x=1 - 2 * eye_x))


def too_dark(shot: Shot) -> dict[str, Measurement]:
    return shot.measured(exposure_off_stops=float(shot.extra["exposure_off_stops"]) - 1.5)


Maker = Callable[[random.Random], Shot]
Spoil = Callable[[Shot], dict[str, Measurement]]

ANY_GENRE: tuple[Maker, ...] = (headshot, landscape, keeper, advertising)
KINDS: dict[str, tuple[Spoil, tuple[Maker, ...]]] = {
    "less than 0.1 head widths from the edge": (to_the_edge, ANY_GENRE),
    "crown cut": (crown_cut, ANY_GENRE),
    "eyes at half height with air above": (eyes_at_half_height, ANY_GENRE),
    "centred where a third was held": (centred, (landscape, keeper, advertising)),
    "chin to the bottom edge": (chin_at_the_bottom, ANY_GENRE),
    "tilted by 6 degrees": (tilted, ANY_GENRE),
    "blurred by 0.06 iris diameters": (blurred, ANY_GENRE),
    "closed eyes": (eyes_closed, ANY_GENRE),
    "no lead room": (no_lead_room, (advertising,)),
    "a stop and a half off": (too_dark, ANY_GENRE),
}


def pairs(spoil: Spoil, makers: tuple[Maker, ...]) -> Iterator[tuple[Shot, dict[str, Measurement]]]:
    chance = random.Random(6)
    for place in range(PAIRS):
        shot = makers[place % len(makers)](chance)
        yield shot, spoil(shot)


@pytest.mark.parametrize("kind", KINDS)
def test_the_original_scores_higher(kind: str) -> None:
    made = list(pairs(*KINDS[kind]))
    won = 0
    for genre in {shot.genre for shot, _ in made}:
        of_genre = [(shot.measured(), spoilt) for shot, spoilt in made if shot.genre == genre]
        originals = judged([one for one, _ in of_genre], (genre,)).scores[:, 0]
        spoilt = judged([other for _, other in of_genre], (genre,)).scores[:, 0]
        won += int((originals > spoilt).sum())
        assert originals.mean() > 0.9, "the originals are well-framed"
    assert won >= SHARE_WON * PAIRS, f"{won} of {PAIRS}"


@pytest.mark.parametrize("kind", KINDS)
def test_the_original_gets_at_least_as_many_stars(kind: str) -> None:
    made = list(pairs(*KINDS[kind]))
    for genre in {shot.genre for shot, _ in made}:
        of_genre = [(shot.measured(), spoilt) for shot, spoilt in made if shot.genre == genre]
        originals = judged([one for one, _ in of_genre], (genre,)).stars
        spoilt = judged([other for _, other in of_genre], (genre,)).stars
        assert (originals >= spoilt).all()
