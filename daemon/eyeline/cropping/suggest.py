"""Crops: for each format of a genre the rectangle that scores best, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.cropping.search import SHRINK, Spaces, coarse, finer, spaces, whole, windows
from eyeline.cropping.why_not import (
    BROKEN,
    CHIN,
    CROWN,
    HEADS,
    LOOK,
    faults_of_frames,
    faults_of_windows,
    hopeless,
    too_small,
)
from eyeline.judging.columns import Columns, columns_of
from eyeline.judging.condition import comparisons_in
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.score import Weighed, score, split
from eyeline.measuring.framing import EVERYTHING, WORDS, framing_of_many, heads_cut_of_many, look_of
from eyeline.measuring.sitters import Sitters, sitters_of
from eyeline.terms.measurement import Measurement, Quantity, Value
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop, NoCrop

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]

FINER_ROUNDS = 2
"""After two rounds the step is about a hundredth of the frame, the goal of the measures' own error."""

FRAMES_AT_ONCE = 8
"""Frames that are searched together: enough to spread the price of each step over them, few enough that
a column of all their windows stays in the processor's cache."""

TIE = 0.002
"""Score that the largest crop gets over the smallest: of equals, the one with more pixels."""

OFF_THE_LENS = ("left", "right", "up", "down")
"""Words of `gaze` for eyes that look past the lens, and need room ahead: a turned face alone needs none."""


@dataclass(frozen=True, slots=True)
class Uncropped:
    """A frame as shot: where the sitter is, its size in pixels, upright, and what was measured on it."""

    points: Points
    width: int
    height: int
    measurements: Mapping[str, Measurement]


@dataclass(frozen=True, slots=True)
class Suggestions:
    """The crops of a frame, one for each format of the genre that has a good one."""

    crops: tuple[Crop, ...]
    no_crops: tuple[NoCrop, ...]


def suggestions(
    frames: Sequence[Uncropped], rulebook: Rulebook, quantities: Iterable[Quantity]
) -> list[Suggestions]:
    """The best crop of each format of `rulebook`, in its order, for each of `frames`.

    All measures but the framing, which is measured anew in every window, count for the crops as well.
    Crops are judged by the genre that `rulebook` names for them, by default itself. The chin is never
    cut, the crown only where the genre says so, other people's heads never; there is never less room
    ahead of eyes that look past the lens than behind them.
    """
    judge = rulebook.crops_as or rulebook
    read = _measures_of(judge)
    quantities = [each for each in quantities if each.name in read]
    found: list[Suggestions | None] = []
    for frame in frames:
        why = hopeless(frame.points, rulebook)
        found.append(None if why is None else _none(rulebook, why))
    open_rows = [row for row, known in enumerate(found) if known is None]
    for start in range(0, len(open_rows), FRAMES_AT_ONCE):
        rows = open_rows[start : start + FRAMES_AT_ONCE]
        columns = columns_of([frames[row].measurements for row in rows], quantities)
        faults = faults_of_frames(judge, columns)
        searched = [place for place, fault in enumerate(faults) if fault is None]
        for place, fault in enumerate(faults):
            if fault is not None:
                found[rows[place]] = _none(rulebook, fault)
        if searched:
            these = [frames[rows[place]] for place in searched]
            answers = _suggested(these, columns.rows(searched), rulebook)
            for place, answer in zip(searched, answers, strict=True):
                found[rows[place]] = answer
    return [each for each in found if each is not None]


def _none(rulebook: Rulebook, reason: str) -> Suggestions:
    return Suggestions((), tuple(NoCrop(each.name, reason) for each in rulebook.formats))


def _measures_of(judge: Rulebook) -> frozenset[str]:
    """All measures that decide about a crop."""
    criteria, faults = ([each.measures for each in rules] for rules in (judge.criteria, judge.faults))
    return _required(judge).union(*criteria, *faults)


def _required(judge: Rulebook) -> frozenset[str]:
    return frozenset(test.measure for each in judge.requirements for test in comparisons_in(each.when))


@dataclass(frozen=True, slots=True, eq=False)
class _Search:
    """What stays the same whatever is cut from P frames: where the sitters are, and all that is not framing.

    `judge` holds the criteria that depend on the window, `fixed` the sums of the others, `columns` what
    was measured on the frames, `measures` the names of all that decides. `eyes_lead`: bool (P, 1), whether
    the eyes look past the lens.
    """

    sitters: Sitters
    eyes_lead: Mask
    columns: Columns
    judge: Rulebook
    fixed: Weighed
    measures: frozenset[str]
    crown_may_be_cut: bool

    def measured(self, candidates: Numbers) -> Columns:
        """Columns of P * N rows, the frames as cut to windows (P, N, 4)."""
        many = candidates.shape[1]
        framed = framing_of_many(self.sitters, candidates, self.measures)
        flat = {name: column.ravel() for name, column in framed.items()}
        return self.columns.repeated(many, self.measures.difference(flat)).replaced(
            candidates.shape[0] * many, flat, {name: words for name, words in WORDS.items() if name in flat}
        )

    def judged(self, candidates: Numbers, columns: Columns) -> tuple[Numbers, Mask]:
        """Score of each window (P, N, 4) by its `columns`, (P, N); which of the four rules it breaks,
        (4, P, N)."""
        shape = candidates.shape[:2]
        broken = np.zeros((4, *shape), dtype=np.bool_)
        if not self.crown_may_be_cut:
            broken[CROWN] = columns.number("crown_cut").reshape(shape) != 0
        broken[CHIN] = self.sitters.chin_y > candidates[..., 1] + candidates[..., 3]
        if self.sitters.others:
            broken[HEADS] = heads_cut_of_many(self.sitters, candidates)
        broken[LOOK] = (columns.number("lead_room").reshape(shape) < 0) & self.eyes_lead
        fixed = Weighed(_repeated(self.fixed.logs, shape), _repeated(self.fixed.weights, shape))
        return score(self.judge, columns, fixed).value.reshape(shape), broken


def _gaze(frame: Uncropped) -> Value:
    taken = frame.measurements.get("gaze")
    return None if taken is None else taken.value


def _repeated(column: Numbers, shape: tuple[int, ...]) -> Numbers:
    """A column of P frames, or of one that stands for all, for N windows of each."""
    return column if len(column) == 1 else np.repeat(column, shape[1])


def _suggested(frames: Sequence[Uncropped], columns: Columns, rulebook: Rulebook) -> list[Suggestions]:
    judge = rulebook.crops_as or rulebook
    sitters = sitters_of(
        [each.points for each in frames],
        [each.width for each in frames],
        [each.height for each in frames],
        [look_of(each.measurements) for each in frames],
    )
    windowed, fixed = split(judge, columns, EVERYTHING)
    faults = [each.measures for each in judge.faults if not each.measures.isdisjoint(EVERYTHING)]
    criteria = [each.measures for each in windowed.criteria]
    measures = _required(judge).union(*criteria, *faults)
    eyes_lead = np.array([[_gaze(each) in OFF_THE_LENS] for each in frames])
    search = _Search(sitters, eyes_lead, columns, windowed, fixed, measures, rulebook.crown_may_be_cut)
    as_shot = score(windowed, columns, fixed).value
    room = spaces(rulebook.formats, sitters, rulebook.crown_may_be_cut)
    found = _found(search, room)
    answers = []
    for row, frame in enumerate(frames):
        crops: list[Crop] = []
        no_crops: list[NoCrop] = []
        for place, shape in enumerate(rulebook.formats):
            if not room.possible[row, place]:
                no_crops.append(NoCrop(shape.name, too_small(shape, room, row, place)))
            elif (why := found.why_not(row, place, shape.name, rulebook.crop_minimum)) is not None:
                no_crops.append(NoCrop(shape.name, why))
            else:
                crops.append(found.crop(row, place, shape.name, float(as_shot[row]), frame))
        answers.append(Suggestions(tuple(crops), tuple(no_crops)))
    return answers


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """The best rectangle of each of F formats in P frames.

    `boxes`: left, top, width, height, whole pixels, (P, F, 4). `scores`: (P, F). `breaks`: whether it
    breaks a rule; `common`: the rule that most rectangles break. `faults`: what is wrong with each by the
    genre, in words, frame by frame.
    """

    boxes: Numbers
    scores: Numbers
    breaks: Mask
    common: NDArray[np.intp]
    faults: list[str | None]

    def why_not(self, row: int, place: int, name: str, least: float) -> str | None:
        """Why this is no good crop, if it is none."""
        if self.breaks[row, place]:
            return BROKEN[int(self.common[row, place])].format(format=name)
        fault = self.faults[row * self.scores.shape[1] + place]
        if fault is not None:
            return f"even the best {name} has a fault: {fault}"
        if self.scores[row, place] < least:
            return (
                f"the best {name} scores {self.scores[row, place]:.2f}; "
                f"this genre suggests none below {least:.2f}"
            )
        return None

    def crop(self, row: int, place: int, name: str, as_shot: float, frame: Uncropped) -> Crop:
        """The crop as it is suggested."""
        left, top, width, height = (int(each) for each in self.boxes[row, place])
        area = Rectangle(left / frame.width, top / frame.height, width / frame.width, height / frame.height)
        value = float(self.scores[row, place])
        sentence = f"{name} from this frame: {as_shot:.2f} as shot, {value:.2f} cropped"
        return Crop(name, area, value, as_shot, width, height, sentence)


def _found(search: _Search, room: Spaces) -> _Found:
    boxes, steps = coarse(room, search.sitters)
    best, common = _best(search, boxes, room)
    for _ in range(FINER_ROUNDS):
        best, _ = _best(search, finer(best, steps, room), room)
        steps = steps * SHRINK
    pixels = whole(best, room, search.sitters)
    width, height = room.width, room.height
    exact = np.stack(
        [pixels[..., 0] / width, pixels[..., 1] / height, pixels[..., 2] / width, pixels[..., 3] / height],
        axis=-1,
    )
    columns = search.measured(exact)
    values, broken = search.judged(exact, columns)
    return _Found(
        pixels, values, np.asarray(broken.any(axis=0)), common, faults_of_windows(search.judge, columns)
    )


def _best(search: _Search, boxes: Numbers, room: Spaces) -> tuple[Numbers, NDArray[np.intp]]:
    """The best box of each format, (P, F, 3), and the rule that most of its boxes break, (P, F)."""
    candidates = windows(boxes, room)
    value, broken = search.judged(candidates, search.measured(candidates))
    size = boxes[..., 0] / room.largest[..., None]
    ranked = np.where(broken.any(axis=0), value - 2.0, value).reshape(size.shape) + TIE * size
    chosen = np.argmax(ranked, axis=-1)
    common = broken.reshape(4, *size.shape).sum(axis=-1).argmax(axis=0)
    return np.take_along_axis(boxes, chosen[..., None, None], axis=-2)[..., 0, :], common
