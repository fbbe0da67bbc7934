"""The verdict that the truth expects of a frame: sound, weak, a dud, or a matter of taste. By labels alone.

No measure and no rule is asked. Each line of `LABELS` says what must hold and why; the first that holds
decides. A frame on which no line holds is sound: the eyes are open, sharp, well exposed and look where some
line of the default brief wants them, in a framing that some line gives. Only frames of one person are
judged: the default brief has no line for groups.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from tests.accuracy.portraits import Person, Portrait


class Expected(Enum):
    """What a photographer would do with the frame: `TASTE` is where two of them would disagree."""

    DUD = "dud"
    WEAK = "weak"
    TASTE = "taste"
    SOUND = "sound"


@dataclass(frozen=True)
class Label:
    """One line: where it `holds`, a frame is expected to get no better than `expected`."""

    name: str
    expected: Expected
    holds: Callable[[Portrait, Person], bool]
    reason: str


def deciding_label(portrait: Portrait) -> Label | None:
    """The line that decides about a frame of one person; None for a sound frame."""
    (person,) = portrait.people
    return next((label for label in LABELS if label.holds(portrait, person)), None)


def blur_px(portrait: Portrait, person: Person) -> float:
    """Sigma at the eye with the streak of motion: a uniform streak of length m deviates by m / sqrt(12)."""
    return float((person.true_eye_blur_sigma_px**2 + portrait.truth["motion_px"] ** 2 / 12) ** 0.5)


def blur_iris(portrait: Portrait, person: Person) -> float:
    """The same in diameters of the iris."""
    return blur_px(portrait, person) / person.iris_diameter_px


def stops_off(portrait: Portrait) -> float:
    """Stops from the correct exposure, + = brighter."""
    return float(portrait.truth["exposure_ev"])


def is_blown_out(portrait: Portrait, person: Person) -> bool:
    return stops_off(portrait) >= 1.2 and max(person.cheek_srgb) >= 250


def is_landscape(portrait: Portrait) -> bool:
    return bool(portrait.truth["width"] > 1.02 * portrait.truth["height"])


def edge_room(portrait: Portrait, person: Person) -> float:
    """Room at the nearer side, in widths of the head."""
    left, _, right, _ = person.head_box
    head_width = (right - left) / portrait.truth["width"]
    return float(min(person.room_left, person.room_right) / head_width)


def is_tight_crop(person: Person) -> bool:
    """Whether the crown is cut on purpose: the face fills the frame, as the tight close crop wants it."""
    return bool(person.crown_cut and person.eye_to_chin >= 0.38)


def looks_astray(portrait: Portrait, person: Person) -> bool:
    """The eyes are off the lens and no line of the brief wants them there. Copy space and loose keeper take
    a look to the side in a landscape frame, with no less room ahead of it than behind."""
    word = person.gaze_word
    if word == "camera" or (is_landscape(portrait) and word in ("up", "down")):
        return False
    ahead = person.room_right - person.room_left
    return not is_landscape(portrait) or bool((ahead if word == "right" else -ahead) < 0)


FORGIVEN = 0.05
"""Fraction of the frame by which a frame may miss the trade's ranges and still be sound: they are ideals."""


def is_off_the_brief(person: Person) -> bool:
    """Framed as no line of the brief gives it: the union of common practice's ranges of the brief's genres.

    For the tight close crop the eye line is .34 to .42 and the chin room at least .07; for the rest the eye
    line .28 to .42, the headroom .06 to .28, the head height .25 to .50, the chin room at least .35.
    """
    if is_tight_crop(person):
        ranges = ((person.eye_line, 0.34, 0.42), (person.chin_room, 0.07, 1.0))
        return any(not low - FORGIVEN <= value <= high + FORGIVEN for value, low, high in ranges)
    ranges = (
        (person.eye_line, 0.28, 0.42),
        (person.headroom, 0.06, 0.28),
        (person.head_height_with_hair, 0.25, 0.50),
        (person.chin_room, 0.35, 1.0),
    )
    return any(not low - FORGIVEN <= value <= high + FORGIVEN for value, low, high in ranges)


LABELS = (
    Label("eyes closed", Expected.DUD, lambda _, p: p.eyes == "closed", "one star: nobody would deliver it"),
    Label(
        "eyes not sharp",
        Expected.DUD,
        lambda f, p: blur_px(f, p) >= 3 or blur_iris(f, p) >= 0.1,
        "one star where no eye is sharp: 3 px, or a tenth of the iris, which shows in a thumbnail",
    ),
    Label(
        "flash misfire",
        Expected.DUD,
        lambda f, _: stops_off(f) < -1,
        "docs/measures.md, exposure_off_stops: below -1 usually means that a flash did not fire",
    ),
    Label(
        "face blown out", Expected.DUD, is_blown_out, "one star: more than a stop over, and the skin is white"
    ),
    Label("chin cut", Expected.DUD, lambda _, p: bool(p.cropped["chin"]), "one star in every genre"),
    Label("half blink", Expected.WEAK, lambda _, p: p.eyes == "half", "two stars: half blink"),
    Label(
        "eyes soft",
        Expected.WEAK,
        lambda f, p: blur_iris(f, p) >= 0.06,
        "0.06 of the iris shows on a screen: a spoiling in the pairs of tests/judging",
    ),
    Label("bright", Expected.WEAK, lambda f, _: stops_off(f) > 1, "more than a stop over"),
    Label(
        "crown cut",
        Expected.WEAK,
        lambda _, p: bool(p.crown_cut) and not is_tight_crop(p),
        "the frame cuts the head, and it is no tight crop",
    ),
    Label(
        "cramped",
        Expected.WEAK,
        lambda f, p: edge_room(f, p) < 0.1 or p.chin_room < 0.04,
        "two stars, cramped: less than a tenth of a head from the side, or the chin on the edge",
    ),
    Label(
        "looks astray",
        Expected.WEAK,
        looks_astray,
        "two stars: the look is past the lens or out of the frame",
    ),
    Label(
        "looks up or down",
        Expected.TASTE,
        lambda _, p: p.gaze_word in ("up", "down"),
        "in a landscape frame the loose keeper takes any look, the other lines do not",
    ),
    Label(
        "look in doubt",
        Expected.TASTE,
        lambda _, p: p.gaze_is_on_a_border or not p.iris_is_seen,
        "the look is on the border of its word, or lids hide it",
    ),
    Label(
        "exposure in doubt",
        Expected.TASTE,
        lambda f, _: abs(stops_off(f)) >= 0.5,
        "half a stop to a stop: raised or lowered in a moment, wrong all the same",
    ),
    Label(
        "sharpness in doubt",
        Expected.TASTE,
        lambda f, p: blur_iris(f, p) > 0.05,
        "between sharp and soft",
    ),
    Label(
        "head far turned",
        Expected.TASTE,
        lambda _, p: abs(p.head_yaw_los) > 35 or abs(p.head_roll) > 8,
        "common practice: no line of the brief wants a turn beyond 35°, and 8° of tilt is a thing of its own",
    ),
    Label("off the brief", Expected.TASTE, lambda _, p: is_off_the_brief(p), "framed as no line gives it"),
)
"""The lines, worst first."""
