"""The score of many photos, or of many crops of one photo, on one genre."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.columns import UNSURE, Columns
from eyeline.judging.condition import truth
from eyeline.judging.desirability import lift, target_range
from eyeline.judging.rulebook import Criterion, Ideal, Rulebook, Stars

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]
Kind = TypeVar("Kind", bound=np.generic)


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """Sums over criteria, for each row: of the weighted logarithms, and of the weights that counted."""

    logs: Numbers
    weights: Numbers


NOTHING = Weighed(np.zeros(1), np.zeros(1))


@dataclass(frozen=True, slots=True, eq=False)
class Score:
    """Score on one genre: `value` float64 (n,), 0 to 1; `met` bool (n,), whether all requirements hold."""

    value: Numbers
    met: Mask


def score(rulebook: Rulebook, columns: Columns, weighed: Weighed = NOTHING) -> Score:
    """Weighted geometric mean of the lifted desirabilities (see `desirability`), for every row.

    `weighed` holds the sums of criteria that were judged before and are not in `rulebook`. A row on
    which nothing can be judged scores 0.
    """
    sums = weigh(rulebook, columns)
    sums = Weighed(sums.logs + weighed.logs, sums.weights + weighed.weights)
    met = np.array([True])
    for requirement in rulebook.requirements:
        met = met & truth(requirement.when, columns).yes
    value = mean(sums) * np.where(met, 1.0, rulebook.unmet)
    return Score(spread(value, columns.count), spread(met, columns.count))


def stars_by_score(cuts: Stars, value: Numbers, five_stars: bool = False) -> NDArray[np.intp]:
    """The stars that the score alone gives, 1 to 4, or to 5 where eyeline may give them."""
    stars = np.ones(len(value), np.intp)
    for cut in (cuts.two, cuts.three, cuts.four, *((cuts.five,) if five_stars else ())):
        stars = stars + (value >= cut)
    return stars


def spread(column: NDArray[Kind], count: int) -> NDArray[Kind]:
    """A column that may stand for all rows with length 1, at its full length."""
    return column if len(column) == count else np.repeat(column, count)


def mean(sums: Weighed) -> Numbers:
    """The weighted geometric mean; 0 where nothing counted."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(sums.weights > 0, np.exp(sums.logs / sums.weights), 0.0)


def weigh(rulebook: Rulebook, columns: Columns) -> Weighed:
    """The sums over all criteria of `rulebook`."""
    if not rulebook.criteria:
        return NOTHING
    judged = np.empty((len(rulebook.criteria), columns.count))
    for place, criterion in enumerate(rulebook.criteria):
        judged[place] = desirability(criterion, columns)
    weights = np.array([[each.weight] for each in rulebook.criteria])
    # A criterion without weight is left out before it is multiplied: 0 times the logarithm of 0 is no number.
    counted = ~np.isnan(judged) & (weights > 0)
    logs = np.where(counted, logarithms(judged, rulebook.criteria, rulebook.floor), 0.0) * weights
    return Weighed(logs.sum(axis=0), np.where(counted, weights, 0.0).sum(axis=0))


def logarithms(judged: Numbers, criteria: Iterable[Criterion], floor: float) -> Numbers:
    """Logarithms of desirabilities (criteria, n), lifted to the floor but for vetoes; NaN stays NaN."""
    floors = np.array([0.0 if each.veto else floor for each in criteria])[:, None]
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(lift(judged, floors)))


def desirability(criterion: Criterion, columns: Columns) -> Numbers:
    """How desirable each row is; NaN where the criterion stays out of the verdict."""
    judged = [_of_ideal(ideal, columns) for ideal in criterion.ideals]
    best = judged[0]
    for other in judged[1:]:
        best = np.fmax(best, other)
    if criterion.missing is not None:
        best = np.where(np.isnan(best), criterion.missing, best)
    if criterion.when is not None:
        best = np.where(applies(criterion, columns), best, np.nan)
    return best


def applies(criterion: Criterion, columns: Columns) -> Mask:
    """Whether the genre judges each row by `criterion`; of length 1 where all rows agree."""
    return np.array([True]) if criterion.when is None else truth(criterion.when, columns).yes


def chosen_ideals(criterion: Criterion, columns: Columns) -> NDArray[np.intp]:
    """Place of the ideal that counted: the one with the best desirability."""
    if len(criterion.ideals) == 1:
        return np.zeros(1, np.intp)
    judged = np.stack(np.broadcast_arrays(*(_of_ideal(ideal, columns) for ideal in criterion.ideals)))
    return np.asarray(np.argmax(np.where(np.isnan(judged), -1.0, judged), axis=0))


def _of_ideal(ideal: Ideal, columns: Columns) -> Numbers:
    if ideal.words:
        return _of_word(ideal, columns)
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


def _of_word(ideal: Ideal, columns: Columns) -> Numbers:
    stated = dict(ideal.words)
    table = [
        stated.get(word, np.nan if word == UNSURE else ideal.otherwise)
        for word in columns.spellings.get(ideal.measure, ())
    ]
    return np.array([*table, np.nan])[columns.word(ideal.measure)]  # -1, missing, is the last


def split(rulebook: Rulebook, photo: Columns, names: frozenset[str]) -> tuple[Rulebook, Weighed]:
    """For many windows of one photo: a rulebook of the criteria that depend on `names`, and the sums of
    all others, to be handed to `score`."""
    kept: list[Criterion] = []
    rest: list[Criterion] = []
    for criterion in rulebook.criteria:
        (rest if criterion.measures.isdisjoint(names) else kept).append(criterion)
    return replace(rulebook, criteria=tuple(kept)), weigh(replace(rulebook, criteria=tuple(rest)), photo)
