"""Portraits of many sitters kept alike: one frame and one crop for each, who does not fit, and why.

The light on different people's faces is never compared; only its direction is, cheek against cheek.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from statistics import fmean, median

from eyeline.judging.desirability import target_range
from eyeline.judging.rulebook import CropFormat, Ideal, Rulebook
from eyeline.judging.wording import ideal_in_words
from eyeline.sitting.colour_difference import Lab, ciede2000
from eyeline.sitting.looks import colour
from eyeline.sitting.shot import Shot
from eyeline.sitting.team_crop import SIDES, Cropped, Place, crop_to
from eyeline.terms.measurement import Quantity
from eyeline.terms.verdict import Verdict

EYE_X = 0.5
"""Across, a team stands in the middle (trade.md, team page)."""

SIDE_DEG = 3.0
"""Turn of the head from which it has a side: half of what a head pose from one picture is sure of."""

DISQUALIFIES = 2
"""A fault that caps the stars at so many is one that no crop mends (trade.md)."""

HEAD_STEP = 0.005
"""Steps in which a common head height is sought: a quarter of what the page allows."""

_DEGREES = Quantity("", "deg", "")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A frame of the sitter number `sitter`, with its verdict as shot on the team page."""

    sitter: int
    shot: Shot
    width: int
    height: int
    verdict: Verdict

    @property
    def turn(self) -> float:
        """Degrees toward frame right; 0 where it is not known."""
        return self.shot.number("head_yaw_deg") or 0.0

    @property
    def tilt(self) -> float:
        """Degrees to either side; 0 where it is not known."""
        return abs(self.shot.number("head_roll_deg") or 0.0)


@dataclass(frozen=True, slots=True)
class Member:
    """The frame chosen for a sitter, with its crop, its likeness to the team (0 to 1), and in words what
    does not fit and what it would take."""

    sitter: int
    name: str
    crop: Cropped
    likeness: float
    misfits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Team:
    """`place`: common to all. `side`: which way the heads turn, -1 camera left, +1 camera right, 0
    neither. `consistency`: mean likeness, 0 to 1; None for nobody. `without`: sitters of whom no frame will
    do. `more_at`: a head height at which more frames would match, and how many, if there is one."""

    place: Place
    side: int
    members: tuple[Member, ...]
    consistency: float | None
    without: tuple[int, ...]
    more_at: tuple[float, int] | None


def team(candidates: Sequence[Candidate], page: Rulebook) -> Team:
    """Choose one frame for each sitter and crop all alike, by the numbers of `page`.

    The head height is that within the page's range at which most sitters match, of these the one
    nearest to its middle. The side is the one to which most sitters turn in some frame.
    """
    usable = [each for each in candidates if _is_usable(each)]
    sitters = sorted({each.sitter for each in candidates})
    low, high = _range(page, "head_height")
    place = _best_place(usable, page, low, high)
    side = _side(usable)
    chosen = _choose(usable, place, side, page)
    backdrop, light = _backdrop(chosen), _light(chosen)
    members = tuple(_member(each, place, side, backdrop, light, page) for each in chosen)
    return Team(
        place,
        side,
        members,
        fmean(each.likeness for each in members) if members else None,
        tuple(each for each in sitters if each not in {member.sitter for member in members}),
        _more_at(usable, page, place),
    )


def _is_usable(each: Candidate) -> bool:
    """No fault that a crop cannot mend, and the whole head in the frame."""
    faults = [reason for reason in each.verdict.reasons if reason.stars_at_most is not None]
    return (
        each.verdict.stars is not None
        and each.shot.points is not None
        and crop_to(Place(0.4, 0.5, EYE_X, 1.0), each.shot.points, each.width, each.height) is not None
        and all((fault.stars_at_most or 0) > DISQUALIFIES for fault in faults)
    )


def _ideal(page: Rulebook, measure: str) -> Ideal | None:
    found = [ideal for each in page.criteria for ideal in each.ideals if ideal.measure == measure]
    return found[0] if found else None


def _range(page: Rulebook, measure: str) -> tuple[float, float]:
    ideal = _ideal(page, measure)
    if ideal is None:
        raise ValueError(f"the genre {page.name} says nothing of {measure}, which a team needs")
    return ideal.ideal_low, ideal.ideal_high


def _format(page: Rulebook) -> CropFormat:
    return page.formats[0] if page.formats else CropFormat("1:1", 1.0, 1, 1)


def _place(page: Rulebook, head_height: float) -> Place:
    low, high = _range(page, "eye_line")
    return Place((low + high) / 2, head_height, EYE_X, _format(page).ratio)


def _crop(each: Candidate, place: Place) -> Cropped:
    assert each.shot.points is not None
    found = crop_to(place, each.shot.points, each.width, each.height)
    assert found is not None, "only usable candidates are cropped"
    return found


def _fits(each: Candidate, place: Place, page: Rulebook) -> bool:
    """Whether the crop is where the team has its heads, within what the page allows, and large enough."""
    found, wanted = _crop(each, place), _format(page)
    return (
        _is_alike(found.place, place, page) and found.width >= wanted.width and found.height >= wanted.height
    )


def _is_alike(found: Place, place: Place, page: Rulebook) -> bool:
    """Within half of the page's ranges: nobody sees less in a grid."""
    (low_eye, high_eye), (low_head, high_head) = _range(page, "eye_line"), _range(page, "head_height")
    return (
        abs(found.eye_line - place.eye_line) <= (high_eye - low_eye) / 2
        and abs(found.head_height - place.head_height) <= (high_head - low_head) / 2
        and abs(found.eye_x - place.eye_x) <= _range(page, "centre_distance")[1]
    )


def _matching(usable: Sequence[Candidate], place: Place, page: Rulebook) -> int:
    """Sitters of whom some frame can be cropped to `place`."""
    return len({each.sitter for each in usable if _fits(each, place, page)})


def _best_place(usable: Sequence[Candidate], page: Rulebook, low: float, high: float) -> Place:
    steps = round((high - low) / HEAD_STEP)
    places = [_place(page, low + step * HEAD_STEP) for step in range(steps + 1)]
    middle = (low + high) / 2
    return max(
        places,
        key=lambda place: (_matching(usable, place, page), -round(abs(place.head_height - middle), 6)),
    )


def _more_at(usable: Sequence[Candidate], page: Rulebook, place: Place) -> tuple[float, int] | None:
    ideal = _ideal(page, "head_height")
    assert ideal is not None
    best = _best_place(usable, page, max(ideal.low, HEAD_STEP), min(ideal.high, 1 - HEAD_STEP))
    many = _matching(usable, best, page)
    return (best.head_height, many) if many > _matching(usable, place, page) else None


def _choose(usable: Sequence[Candidate], place: Place, side: int, page: Rulebook) -> list[Candidate]:
    """The best frame of each sitter: right side first, then a crop that fits, an upright head, the score."""
    tilt = _ideal(page, "head_roll_deg")
    best: dict[int, tuple[tuple[float, ...], Candidate]] = {}
    for each in usable:
        merit = (
            float(each.turn * side >= -SIDE_DEG),
            float(_fits(each, place, page)),
            float(tilt is None or each.tilt <= tilt.ideal_high),
            each.verdict.score,
        )
        if each.sitter not in best or merit > best[each.sitter][0]:
            best[each.sitter] = merit, each
    return [best[sitter][1] for sitter in sorted(best)]


def _side(usable: Sequence[Candidate]) -> int:
    right = len({each.sitter for each in usable if each.turn >= SIDE_DEG})
    left = len({each.sitter for each in usable if each.turn <= -SIDE_DEG})
    return (right > left) - (right < left)


def _backdrop(chosen: Sequence[Candidate]) -> Lab | None:
    shown = [found for each in chosen if (found := colour(each.shot, "background")) is not None]
    if not shown:
        return None
    lightness, a, b = (median(each[axis] for each in shown) for axis in range(3))
    return lightness, a, b


def _light(chosen: Sequence[Candidate]) -> float | None:
    known = [found for each in chosen if (found := each.shot.number("light_ratio_stops")) is not None]
    return median(known) if known else None


def _member(
    each: Candidate, place: Place, side: int, backdrop: Lab | None, light: float | None, page: Rulebook
) -> Member:
    crop = _crop(each, place)
    own = colour(each.shot, "background")
    own_light = each.shot.number("light_ratio_stops")
    measured: dict[str, float | None] = {
        "eye_line": crop.place.eye_line,
        "head_height": crop.place.head_height,
        "centre_distance": abs(crop.place.eye_x - EYE_X),
        "head_yaw_deg": each.turn * side if side else abs(each.turn),
        "head_roll_deg": each.tilt,
        "backdrop_off": None if own is None or backdrop is None else ciede2000(backdrop, own),
        "light_off_stops": None if light is None or own_light is None else abs(own_light - light),
    }
    return Member(
        each.sitter,
        each.shot.name,
        crop,
        _likeness(measured, page),
        (*_framing_misfits(crop, place, page), *_other_misfits(each, measured, side, light, page)),
    )


def _likeness(measured: dict[str, float | None], page: Rulebook) -> float:
    """The geometric mean of the page's desirabilities, each lifted to its floor (see judging.score)."""
    logs = []
    for measure, value in measured.items():
        ideal = _ideal(page, measure)
        if ideal is not None and value is not None:
            logs.append(log(max(_desirability(value, ideal), page.floor, 1e-9)))
    return exp(fmean(logs)) if logs else 0.0


def _desirability(value: float, ideal: Ideal) -> float:
    return float(target_range(value, ideal.low, ideal.ideal_low, ideal.ideal_high, ideal.high))


def _framing_misfits(crop: Cropped, place: Place, page: Rulebook) -> list[str]:
    found, wanted = [], _format(page)
    if not _is_alike(crop.place, place, page):
        room = " and ".join(
            f"{short} px more {side}" for short, side in zip(crop.short, SIDES, strict=True) if short
        )
        found.append(
            f"head {crop.place.head_height:.0%} of the height, eyes {crop.place.eye_line:.0%} down and "
            f"{crop.place.eye_x:.0%} across, the team {place.head_height:.0%}, {place.eye_line:.0%} and "
            f"{place.eye_x:.0%}: it would take {room}"
        )
    if crop.height < wanted.height or crop.width < wanted.width:
        found.append(f"{crop.width} × {crop.height} px, wants {wanted.width} × {wanted.height}: stand nearer")
    return found


def _other_misfits(
    each: Candidate, measured: dict[str, float | None], side: int, light: float | None, page: Rulebook
) -> list[str]:
    found = []
    turn, tilt, backdrop = (measured[name] for name in ("head_yaw_deg", "head_roll_deg", "backdrop_off"))
    ideal = _ideal(page, "head_yaw_deg")
    if side and turn is not None and turn < -SIDE_DEG:
        own, theirs = ("left", "right") if side > 0 else ("right", "left")
        found.append(f"turned to camera {own}, the team to camera {theirs}: another frame or a new one")
    elif ideal is not None and turn is not None and turn > ideal.ideal_high:
        found.append(f"turned by {turn:.0f}°, the page wants {ideal_in_words(ideal, _DEGREES)}: turn it back")
    ideal = _ideal(page, "head_roll_deg")
    if ideal is not None and tilt is not None and tilt > ideal.ideal_high:
        found.append(
            f"tilted by {tilt:.0f}°, the page wants {ideal_in_words(ideal, _DEGREES)}: straighten it"
        )
    ideal = _ideal(page, "backdrop_off")
    if ideal is not None and backdrop is not None and backdrop > ideal.ideal_high:
        found.append(
            f"backdrop {backdrop:.0f} off the team's (CIEDE2000), {ideal.ideal_high:g} at most: take "
            "the same one, lit alike"
        )
    ideal = _ideal(page, "light_off_stops")
    own_light, off = each.shot.number("light_ratio_stops"), measured["light_off_stops"]
    if ideal is not None and off is not None and off > ideal.ideal_high:
        found.append(
            f"light between the cheeks {own_light:+.1f} stops, the team {light:+.1f}: other key or side"
        )
    return found
