"""Crops: for each format of a genre the rectangle that scores best, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.cropping.search import SHRINK, Space, coarse, finer, space, whole_size, windows
from eyeline.judging.columns import Columns, columns_of
from eyeline.judging.condition import truth
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.score import Weighed, score, split
from eyeline.measuring.framing import QUANTITIES, WORDS, framing, heads_cut, look_of
from eyeline.terms.measurement import Measurement, Quantity
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop, NoCrop

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]

FINER_ROUNDS = 2
"""After two rounds the step is about a hundredth of the frame, the goal of the measures' own error."""

WINDOWED = frozenset(
    (*(each.name for each in QUANTITIES), "copy_space", "copy_space_left", "copy_space_right")
)
"""The measures that depend on what is cut; all others are those of the frame."""

TIE = 0.002
"""Score that the largest crop gets over the smallest: of equals, the one with more pixels."""

CROWN, CHIN, HEADS, LOOK = range(4)
_WHY_NOT = {
    CROWN: "every {format} that is large enough would cut the crown",
    CHIN: "every {format} that is large enough would cut the chin",
    HEADS: "every {format} that holds the head would cut somebody else's",
    LOOK: "no {format} that holds the head leaves more room ahead of the look than behind it",
}


@dataclass(frozen=True, slots=True)
class Suggestions:
    """The crops of a frame, one for each format of the genre that has a good one."""

    crops: tuple[Crop, ...]
    no_crops: tuple[NoCrop, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Sitter:
    """What stays the same whatever is cut: where the sitter is, and all that is not framing.

    `judge` holds the criteria that depend on the window, `fixed` the sums of the others.
    """

    points: Points
    width: int
    height: int
    look: int
    columns: Columns
    judge: Rulebook
    fixed: Weighed
    crown_may_be_cut: bool

    def measured(self, candidates: Numbers) -> Columns:
        """Columns of the frame as cut to each window (N, 4)."""
        framed = framing(self.points, candidates, self.width, self.height, self.look)
        return self.columns.replaced(len(candidates), framed, WORDS)

    def judged(self, candidates: Numbers, columns: Columns) -> tuple[Numbers, Mask]:
        """Score of each window (N, 4) by its `columns`; which of the four rules it breaks, (4, N)."""
        broken = np.zeros((4, len(candidates)), dtype=np.bool_)
        if not self.crown_may_be_cut:
            broken[CROWN] = columns.number("crown_cut") != 0
        _, top, _, height = candidates.T
        broken[CHIN] = self.points.chin[1] > top + height
        if self.points.others:
            broken[HEADS] = heads_cut(self.points, candidates)
        if self.look:
            broken[LOOK] = columns.number("lead_room") < 0
        return score(self.judge, columns, self.fixed).value, broken


def suggest(
    points: Points,
    width: int,
    height: int,
    measurements: Mapping[str, Measurement],
    rulebook: Rulebook,
    quantities: Iterable[Quantity],
) -> Suggestions:
    """The best crop of each format of `rulebook`, in its order.

    `width`, `height`: pixels of the upright frame. `measurements`: those of the frame as shot; all but
    the framing, which is measured anew in every window, count for the crops as well. Crops are judged
    by the genre that `rulebook` names for them, by default itself. The chin is never cut, the crown
    only where the genre says so, other people's heads never; there is never less room ahead of the
    look than behind it.
    """
    judge = rulebook.crops_as or rulebook
    frame = columns_of([measurements], quantities)
    hopeless = _hopeless(points, rulebook) or _fault_of_frame(judge, frame)
    if hopeless is not None:
        return Suggestions((), tuple(NoCrop(each.name, hopeless) for each in rulebook.formats))
    windowed, fixed = split(judge, frame, WINDOWED)
    look = look_of(measurements)
    sitter = _Sitter(points, width, height, look, frame, windowed, fixed, rulebook.crown_may_be_cut)
    as_shot = float(score(windowed, frame, fixed).value[0])
    spaces = [space(each, points, width, height, rulebook.crown_may_be_cut) for each in rulebook.formats]
    possible = [each for each in spaces if each.smallest <= each.largest]
    outcomes = dict(zip([each.format.name for each in possible], _search(sitter, possible), strict=True))
    crops: list[Crop] = []
    no_crops: list[NoCrop] = []
    for each in spaces:
        name = each.format.name
        found = outcomes.get(name)
        if found is None:
            no_crops.append(NoCrop(name, _too_small(each)))
        elif found.broken is not None:
            no_crops.append(NoCrop(name, _WHY_NOT[found.broken].format(format=name)))
        elif found.fault is not None:
            no_crops.append(NoCrop(name, f"even the best {name} has a fault: {found.fault}"))
        elif found.score < rulebook.crop_minimum:
            no_crops.append(
                NoCrop(
                    name,
                    f"the best {name} scores {found.score:.2f}; "
                    f"this genre suggests none below {rulebook.crop_minimum:.2f}",
                )
            )
        else:
            crops.append(_crop(found, name, as_shot, width, height))
    return Suggestions(tuple(crops), tuple(no_crops))


@dataclass(frozen=True, slots=True)
class _Found:
    """The best rectangle of a format, whole pixels.

    `broken`: the rule that all of them break; `fault`: what is wrong with it by the genre, in words.
    """

    left: int
    top: int
    width: int
    height: int
    score: float
    broken: int | None
    fault: str | None


def _search(sitter: _Sitter, spaces: list[Space]) -> list[_Found]:
    if not spaces:
        return []
    boxes, steps = coarse(spaces, sitter.points)
    best, broken = _best(sitter, boxes, spaces)
    for _ in range(FINER_ROUNDS):
        best, _ = _best(sitter, finer(best, steps, spaces), spaces)
        steps = steps * SHRINK
    whole = [_whole(box, each, sitter.points) for box, each in zip(best, spaces, strict=True)]
    exact = np.array(
        [[x / sitter.width, y / sitter.height, w / sitter.width, h / sitter.height] for x, y, w, h in whole]
    )
    columns = sitter.measured(exact)
    values, breaks = sitter.judged(exact, columns)
    faults = _faults(sitter, columns)
    found = []
    for place, (left, top, wide, high) in enumerate(whole):
        rule = int(np.argmax(breaks[:, place])) if breaks[:, place].any() else None
        if rule is not None:
            rule = broken[place]
        found.append(_Found(left, top, wide, high, float(values[place]), rule, faults[place]))
    return found


def _faults(sitter: _Sitter, columns: Columns) -> list[str | None]:
    """The worst fault of each window, in words: no crop is good that the genre calls weak or a dud."""
    worst: list[str | None] = [None] * columns.count
    for fault in sorted(sitter.judge.faults, key=lambda each: -each.stars_at_most):
        if fault.measures.isdisjoint(WINDOWED):
            continue
        holds = np.broadcast_to(truth(fault.when, columns).yes, columns.count)
        worst = [fault.says if yes else before for yes, before in zip(holds, worst, strict=True)]
    return worst


def _fault_of_frame(judge: Rulebook, frame: Columns) -> str | None:
    """A fault that no crop can mend, in words: closed eyes stay closed."""
    for fault in judge.faults:
        if fault.measures.isdisjoint(WINDOWED) and truth(fault.when, frame).yes[0]:
            return f"no crop mends this: {fault.says}"
    return None


def _best(sitter: _Sitter, boxes: Numbers, spaces: list[Space]) -> tuple[Numbers, list[int]]:
    """The best box of each format, (formats, 3), and the rule that most of its boxes break."""
    candidates = windows(boxes, spaces)
    value, broken = sitter.judged(candidates, sitter.measured(candidates))
    size = boxes[..., 0] / np.array([each.largest for each in spaces])[:, None]
    ranked = np.where(broken.any(axis=0), value - 2.0, value).reshape(len(spaces), -1) + TIE * size
    chosen = np.argmax(ranked, axis=1)
    common = broken.reshape(4, len(spaces), -1).mean(axis=2).argmax(axis=0)
    return np.take_along_axis(boxes, chosen[:, None, None], axis=1)[:, 0], [int(each) for each in common]


def _whole(box: Numbers, each: Space, points: Points) -> tuple[int, int, int, int]:
    """`box` in whole pixels: left, top, width, height, inside the frame, chin and crown still in."""
    wide, high = whole_size(float(box[0]), each.format.ratio, each.width, each.height)
    left = int(np.clip(round(float(box[1])), 0, each.width - wide))
    top = int(np.clip(np.floor(box[2]), 0, each.height - high))
    if points.chin[1] * each.height > top + high:
        top = int(np.clip(np.ceil(points.chin[1] * each.height - high), 0, each.height - high))
    return left, top, wide, high


def _hopeless(points: Points, rulebook: Rulebook) -> str | None:
    """Why no format can have a crop, whatever its size."""
    if points.chin_cut:
        return "the frame itself cuts the chin"
    if rulebook.crown_may_be_cut:
        return None
    if points.crown_cut:
        return "the frame itself cuts the crown"
    if points.crown_y is None:
        return f"where the crown is cannot be told: {points.crown_missing}"
    return None


def _too_small(each: Space) -> str:
    wide, high = each.largest_size
    needed = f"{each.format.width} × {each.format.height} pixels"
    if wide < each.format.width or high < each.format.height:
        return f"needs {needed}; the largest {each.format.name} in this frame has {wide} × {high}"
    return f"the largest {each.format.name} in this frame, {wide} × {high} pixels, does not hold the head"


def _crop(found: _Found, name: str, as_shot: float, width: int, height: int) -> Crop:
    area = Rectangle(found.left / width, found.top / height, found.width / width, found.height / height)
    sentence = f"{name} from this frame: {as_shot:.2f} as shot, {found.score:.2f} cropped"
    return Crop(name, area, found.score, as_shot, found.width, found.height, sentence)
