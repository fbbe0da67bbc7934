"""Portraits of many sitters kept alike: one frame and one crop for each, who does not fit, and why.

The light on different people's faces is never compared; only its direction is, cheek against cheek.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from statistics import fmean, median

from eyeline.judging.desirability import target_range
from eyeline.judging.rulebook import Ideal, Rulebook
from eyeline.sitting.colour_difference import Lab, ciede2000
from eyeline.sitting.looks import colour
from eyeline.sitting.shot import Shot
from eyeline.sitting.team_crop import Cropped, HeadPlace, crop_to
from eyeline.sitting.team_misfits import SIDE_DEG, framing_misfits, other_misfits
from eyeline.sitting.team_page import ideal_of, is_alike, page_format, range_of
from eyeline.terms.verdict import Verdict

EYE_X = 0.5
"""Across, a team stands in the middle (common practice, team page)."""

DISQUALIFIES = 2
"""A fault that caps the stars at so many is one that no crop mends (common practice)."""

HEAD_STEP = 0.005
"""Steps in which a common head height is sought: a quarter of what the page allows."""


@dataclass(frozen=True, slots=True)
class TeamFrame:
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

    place: HeadPlace
    side: int
    members: tuple[Member, ...]
    consistency: float | None
    without: tuple[int, ...]
    more_at: tuple[float, int] | None


def team(candidates: Sequence[TeamFrame], page: Rulebook) -> Team:
    """Choose one frame for each sitter and crop all alike, by the numbers of `page`.

    The head height is that within the page's range at which most sitters match, of these the one
    nearest to its middle. The side is the one to which most sitters turn in some frame.
    """
    usable = [each for each in candidates if _is_usable(each)]
    sitters = sorted({each.sitter for each in candidates})
    low, high = range_of(page, "head_height")
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


def _is_usable(each: TeamFrame) -> bool:
    """No fault that a crop cannot mend, and the whole head in the frame."""
    faults = [reason for reason in each.verdict.reasons if reason.stars_at_most is not None]
    return (
        each.verdict.stars is not None
        and each.shot.points is not None
        and crop_to(HeadPlace(0.4, 0.5, EYE_X, 1.0), each.shot.points, each.width, each.height) is not None
        and all((fault.stars_at_most or 0) > DISQUALIFIES for fault in faults)
    )


def _place(page: Rulebook, head_height: float) -> HeadPlace:
    low, high = range_of(page, "eye_line")
    return HeadPlace((low + high) / 2, head_height, EYE_X, page_format(page).ratio)


def _crop(each: TeamFrame, place: HeadPlace) -> Cropped:
    assert each.shot.points is not None
    found = crop_to(place, each.shot.points, each.width, each.height)
    assert found is not None, "only usable candidates are cropped"
    return found


def _fits(each: TeamFrame, place: HeadPlace, page: Rulebook) -> bool:
    """Whether the crop is where the team has its heads, within what the page allows, and large enough."""
    found, wanted = _crop(each, place), page_format(page)
    return (
        is_alike(found.place, place, page) and found.width >= wanted.width and found.height >= wanted.height
    )


def _matching(usable: Sequence[TeamFrame], place: HeadPlace, page: Rulebook) -> int:
    """Sitters of whom some frame can be cropped to `place`."""
    return len({each.sitter for each in usable if _fits(each, place, page)})


def _best_place(usable: Sequence[TeamFrame], page: Rulebook, low: float, high: float) -> HeadPlace:
    steps = round((high - low) / HEAD_STEP)
    places = [_place(page, low + step * HEAD_STEP) for step in range(steps + 1)]
    middle = (low + high) / 2
    return max(
        places,
        key=lambda place: (_matching(usable, place, page), -round(abs(place.head_height - middle), 6)),
    )


def _more_at(usable: Sequence[TeamFrame], page: Rulebook, place: HeadPlace) -> tuple[float, int] | None:
    ideal = ideal_of(page, "head_height")
    assert ideal is not None
    best = _best_place(usable, page, max(ideal.low, HEAD_STEP), min(ideal.high, 1 - HEAD_STEP))
    many = _matching(usable, best, page)
    return (best.head_height, many) if many > _matching(usable, place, page) else None


def _choose(usable: Sequence[TeamFrame], place: HeadPlace, side: int, page: Rulebook) -> list[TeamFrame]:
    """The best frame of each sitter: right side first, then a crop that fits, an upright head, the score."""
    tilt = ideal_of(page, "head_roll_deg")
    best: dict[int, tuple[tuple[float, ...], TeamFrame]] = {}
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


def _side(usable: Sequence[TeamFrame]) -> int:
    right = len({each.sitter for each in usable if each.turn >= SIDE_DEG})
    left = len({each.sitter for each in usable if each.turn <= -SIDE_DEG})
    return (right > left) - (right < left)


def _backdrop(chosen: Sequence[TeamFrame]) -> Lab | None:
    shown = [found for each in chosen if (found := colour(each.shot, "background")) is not None]
    if not shown:
        return None
    lightness, a, b = (median(each[axis] for each in shown) for axis in range(3))
    return lightness, a, b


def _light(chosen: Sequence[TeamFrame]) -> float | None:
    known = [found for each in chosen if (found := each.shot.number("light_ratio_stops")) is not None]
    return median(known) if known else None


def _member(
    each: TeamFrame, place: HeadPlace, side: int, backdrop: Lab | None, light: float | None, page: Rulebook
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
        (*framing_misfits(crop, place, page), *other_misfits(measured, side, own_light, light, page)),
    )


def _likeness(measured: dict[str, float | None], page: Rulebook) -> float:
    """The geometric mean of the page's desirabilities, each lifted to its floor (see judging.score)."""
    logs = []
    for measure, value in measured.items():
        ideal = ideal_of(page, measure)
        if ideal is not None and value is not None:
            logs.append(log(max(_desirability(value, ideal), page.floor, 1e-9)))
    return exp(fmean(logs)) if logs else 0.0


def _desirability(value: float, ideal: Ideal) -> float:
    return float(target_range(value, ideal.low, ideal.ideal_low, ideal.ideal_high, ideal.high))
