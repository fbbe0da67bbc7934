"""The score of many photos, or of many crops of one photo, on one genre."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.columns import MISSING_WORD, UNSURE, Columns
from eyeline.judging.condition import truth
from eyeline.judging.desirability import lift, target_range
from eyeline.judging.rulebook import Criterion, Ideal, Rulebook

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """How each row does on one criterion; arrays of length 1 stand for all rows.

    `desirability`: NaN where it stays out of the verdict. `chosen`: index of the ideal that counted.
    """

    criterion: Criterion
    desirability: Numbers
    chosen: NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Score:
    """Score on one genre: `value` float64 (n,), 0 to 1; `met` bool (n,), whether all requirements hold.

    `log_sum`, `weight_sum`: what the geometric mean was made of, to tell what each criterion cost.
    """

    rulebook: Rulebook
    marks: tuple[Mark, ...]
    value: Numbers
    met: Mask
    log_sum: Numbers
    weight_sum: Numbers

    def without(self, place: int, row: int) -> float:
        """Score of `row` had the criterion at `place` not been judged; 1 where none is left."""
        logs = weights = 0.0
        for index, mark in enumerate(self.marks):
            d = at(mark.desirability, row)
            if index != place and not np.isnan(d):
                weights += mark.criterion.weight
                logs += mark.criterion.weight * float(_log(np.array([d]), mark.criterion, self.rulebook)[0])
        factor = 1.0 if bool(at(self.met, row)) else self.rulebook.unmet
        return factor * float(np.exp(logs / weights)) if weights else factor


def at(column: NDArray[np.generic], row: int) -> float:
    """The value of `row` in a column that may stand for all rows with length 1."""
    return float(column[row if len(column) > 1 else 0])  # type: ignore[arg-type]


def score(rulebook: Rulebook, columns: Columns) -> Score:
    """Weighted geometric mean of the lifted desirabilities (see `desirability`), for every row.

    A row on which nothing can be judged scores 0.
    """
    marks = tuple(_mark(criterion, columns) for criterion in rulebook.criteria)
    log_sum, weight_sum = np.zeros(1), np.zeros(1)
    for mark in marks:
        present = ~np.isnan(mark.desirability)
        logs = _log(mark.desirability, mark.criterion, rulebook)
        log_sum = log_sum + np.where(present, mark.criterion.weight * logs, 0.0)
        weight_sum = weight_sum + np.where(present, mark.criterion.weight, 0.0)
    met = np.array([True])
    for requirement in rulebook.requirements:
        met = met & truth(requirement.when, columns).yes
    with np.errstate(invalid="ignore", divide="ignore"):
        value = np.where(weight_sum > 0, np.exp(log_sum / weight_sum), 0.0)
    value = value * np.where(met, 1.0, rulebook.unmet)
    return Score(
        rulebook,
        marks,
        np.broadcast_to(value, columns.count),
        np.broadcast_to(met, columns.count),
        log_sum,
        weight_sum,
    )


def _log(desirability: Numbers, criterion: Criterion, rulebook: Rulebook) -> Numbers:
    lifted = desirability if criterion.veto else lift(desirability, rulebook.floor)
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(lifted))


def _mark(criterion: Criterion, columns: Columns) -> Mark:
    judged = [_desirability(ideal, columns) for ideal in criterion.ideals]
    if len(judged) == 1:
        best, chosen = judged[0], np.zeros(1, np.intp)
    else:
        stacked = np.stack(np.broadcast_arrays(*judged))
        chosen = np.argmax(np.where(np.isnan(stacked), -1.0, stacked), axis=0)
        best = np.take_along_axis(stacked, chosen[None], axis=0)[0]
    if criterion.missing is not None:
        best = np.where(np.isnan(best), criterion.missing, best)
    if criterion.when is not None:
        best = np.where(truth(criterion.when, columns).yes, best, np.nan)
    return Mark(criterion, best, chosen)


def _desirability(ideal: Ideal, columns: Columns) -> Numbers:
    if ideal.words:
        return _of_word(ideal, columns.word(ideal.measure))
    number = columns.number(ideal.measure)
    return target_range(
        np.abs(number) if ideal.ignore_sign else number,
        ideal.low,
        ideal.ideal_low,
        ideal.ideal_high,
        ideal.high,
        ideal.shape_below,
        ideal.shape_above,
    )


def _of_word(ideal: Ideal, word: NDArray[np.str_]) -> Numbers:
    value = np.full(len(word), ideal.otherwise)
    value[word == MISSING_WORD] = np.nan
    value[word == UNSURE] = np.nan
    for name, desirability in ideal.words:
        value[word == name] = desirability
    return value


def scores(rulebooks: Sequence[Rulebook], columns: Columns) -> tuple[Score, ...]:
    """The score on each genre."""
    return tuple(score(rulebook, columns) for rulebook in rulebooks)
