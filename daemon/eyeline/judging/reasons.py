"""Why photos got their scores: every criterion and fault with its value, its ideal and what it cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.columns import UNSURE, Columns
from eyeline.judging.condition import Comparison, comparisons_in, in_words, truth
from eyeline.judging.rulebook import Criterion, Fault, Ideal, Rulebook
from eyeline.judging.score import (
    Score,
    applies,
    chosen_ideals,
    desirability,
    logarithms,
    spread,
    stars_by_score,
)
from eyeline.judging.wording import ideal_in_words, value_beside
from eyeline.terms.measurement import Quantity, Value
from eyeline.terms.verdict import Reason

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]

MOST_STARS = 5

DOUBT = 3
"""Stars at most of a frame about which something is in doubt: common practice. Fewer are for a fault."""

LEAST_LOG = -700.0
"""Stands for the logarithm of 0, so that what a veto took can be told: exp(-700) is as good as 0."""


@dataclass(frozen=True, slots=True, eq=False)
class Grounds:
    """What the reasons of `photos` on one genre are made of.

    `marks`: desirabilities, float64 (criteria, n), NaN where one stays out; `costs`: what each took from
    the score; `applies`: bool, whether the genre judges such a photo by it; `chosen`: which ideal
    counted; `faults`: bool (faults, n); `unmet`: bool (requirements, n).
    """

    rulebook: Rulebook
    photos: Columns
    quantities: Mapping[str, Quantity]
    score: Score
    marks: Numbers
    costs: Numbers
    applies: Mask
    chosen: NDArray[np.intp]
    faults: Mask
    unmet: Mask
    wanted: tuple[str, ...]

    def reasons(self, row: int) -> tuple[Reason, ...]:
        """The reasons of photo `row`, the one that binds first; then faults by their stars, all else by cost.

        A fault binds where it takes stars that the score gives. Where the score gives as few as a fault
        that only leaves a doubt, or fewer, it is the heaviest loss that binds.
        """
        found = [
            _fault(fault, self.photos, row)
            for fault, holds in zip(self.rulebook.faults, self.faults[:, row], strict=True)
            if holds
        ]
        found.sort(key=lambda reason: reason.stars_at_most or 0)
        rest = self._unmet(row)
        rest += [self._criterion(place, row) for place in np.flatnonzero(self.applies[:, row]).tolist()]
        rest.sort(key=lambda reason: (-reason.cost, _quality(reason)))
        by_score = int(stars_by_score(self.rulebook.stars, self.score.value[row : row + 1], True)[0])
        least = min((each.stars_at_most or 0 for each in found), default=MOST_STARS)
        if by_score < least or by_score == least >= DOUBT:
            return (*rest[:1], *found, *rest[1:])
        return (*found, *rest)

    def _unmet(self, row: int) -> list[Reason]:
        """Requirements that are not met: together they cost the factor on the score."""
        value = float(self.score.value[row])
        cost = value / self.rulebook.unmet - value if self.rulebook.unmet else 1.0
        found = []
        for place in np.flatnonzero(self.unmet[:, row]):
            requirement = self.rulebook.requirements[place]
            measure = comparisons_in(requirement.when)[0].measure
            found.append(
                Reason(
                    name=requirement.name,
                    measure=measure,
                    value=self.photos.value(measure, row),
                    ideal=in_words(requirement.when),
                    desirability=None,
                    weight=0.0,
                    cost=cost,
                    sentence=requirement.says,
                )
            )
        return found

    def _criterion(self, place: int, row: int) -> Reason:
        criterion, mark = self.rulebook.criteria[place], float(self.marks[place, row])
        ideal = criterion.ideals[self.chosen[place, row]]
        value = self.photos.value(ideal.measure, row)
        if mark != mark:
            why = "the measure is not sure" if value == UNSURE else "it could not be measured"
            sentence = f"{_question(criterion)} is left out of the verdict: {why}"
        elif value is None:
            sentence = f"{criterion.name.replace('_', ' ')} could not be measured, which counts as a doubt"
        else:
            template, size = _template(criterion, mark, value)
            shown = abs(value) if (size or ideal.ignore_sign) and isinstance(value, float) else value
            quantity = self.quantities.get(ideal.measure)
            in_short = value_beside(shown, _mirrored(ideal) if size else ideal, quantity)
            sentence = template.replace("{value}", in_short).replace("{ideal}", self.wanted[place])
        return Reason(
            name=criterion.name,
            measure=ideal.measure,
            value=value,
            ideal=self.wanted[place],
            desirability=None if mark != mark else mark,
            weight=criterion.weight,
            cost=float(self.costs[place, row]),
            sentence=sentence,
        )


def grounds(rulebook: Rulebook, photos: Columns, quantities: Mapping[str, Quantity], score: Score) -> Grounds:
    """The grounds of all `photos`, whose `score` on `rulebook` is known.

    A criterion costs what the score would gain without it; one that lowers nothing costs 0.
    """
    count, criteria = photos.count, rulebook.criteria
    marks = np.empty((len(criteria), count))
    judges = np.empty((len(criteria), count), np.bool_)
    chosen = np.zeros((len(criteria), count), np.intp)
    for place, criterion in enumerate(criteria):
        marks[place] = desirability(criterion, photos)
        judges[place] = applies(criterion, photos)
        chosen[place] = chosen_ideals(criterion, photos)
    without = _without_each(criteria, marks, rulebook.floor)
    factor = np.where(score.met, 1.0, rulebook.unmet)
    return Grounds(
        rulebook=rulebook,
        photos=photos,
        quantities=quantities,
        score=score,
        marks=marks,
        costs=np.maximum(0.0, factor * without - score.value),
        applies=judges,
        chosen=chosen,
        faults=_rows([truth(each.when, photos).yes for each in rulebook.faults], count),
        unmet=~_rows([truth(each.when, photos).yes for each in rulebook.requirements], count),
        wanted=tuple(ideals_in_words(each.ideals, quantities) for each in criteria),
    )


def _rows(masks: Sequence[Mask], count: int) -> Mask:
    return np.array([spread(mask, count) for mask in masks], np.bool_).reshape(len(masks), count)


def _template(criterion: Criterion, mark: float, value: Value) -> tuple[str, bool]:
    """The sentence that fits, and whether it tells the size of a negative value."""
    if mark >= 1.0:
        return criterion.well, False
    if criterion.says_negative is not None and isinstance(value, float) and value < 0:
        return criterion.says_negative, True
    return criterion.says, False


def _question(criterion: Criterion) -> str:
    """What a criterion asks, in its own words: "whether the head is upright"; else its name."""
    asked = criterion.well.split(", {", 1)[0]
    return criterion.name.replace("_", " ") if not asked or "{" in asked else f"whether {asked}"


def _mirrored(ideal: Ideal) -> Ideal:
    """The ideal for the size of a negative value."""
    return replace(ideal, ideal_low=-ideal.ideal_high, ideal_high=-ideal.ideal_low)


def _without_each(criteria: Sequence[Criterion], marks: Numbers, floor: float) -> Numbers:
    """The geometric mean without each criterion; 0 for one that is missing or the only one."""
    present = ~np.isnan(marks)
    weights = np.where(present, np.array([[each.weight] for each in criteria]), 0.0)
    logs = np.where(present, np.maximum(logarithms(marks, criteria, floor), LEAST_LOG), 0.0) * weights
    left = weights.sum(axis=0) - weights
    others = logs.sum(axis=0) - logs
    judged = present & (left > 0)
    return np.where(judged, np.exp(others / np.where(judged, left, 1.0)), 0.0)


def _fault(fault: Fault, photos: Columns, row: int) -> Reason:
    measure = _telling(comparisons_in(fault.when), photos, row).measure
    return Reason(
        name=fault.name,
        measure=measure,
        value=photos.value(measure, row),
        ideal=f"not: {in_words(fault.when)}",
        desirability=None,
        weight=0.0,
        cost=0.0,
        sentence=fault.says,
        stars_at_most=fault.stars_at_most,
    )


def _telling(tests: Sequence[Comparison], photos: Columns, row: int) -> Comparison:
    """The first comparison that holds: the one that the fault is about."""
    if len(tests) == 1:
        return tests[0]
    photo = photos.only(row)
    return next((test for test in tests if truth(test, photo).yes[0]), tests[0])


def _quality(reason: Reason) -> float:
    """Order among what costs nothing: the less desirable first, what is not known last."""
    return 2.0 if reason.desirability is None else reason.desirability


def ideals_in_words(ideals: Sequence[Ideal], quantities: Mapping[str, Quantity]) -> str:
    """All ideals of a criterion in words; with several, each names its measure."""
    if len(ideals) == 1:
        return ideal_in_words(ideals[0], quantities.get(ideals[0].measure))
    return " or ".join(
        f"{ideal.measure.replace('_', ' ')} {ideal_in_words(ideal, quantities.get(ideal.measure))}"
        for ideal in ideals
    )
