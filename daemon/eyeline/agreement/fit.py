"""A genre fitted to a photographer's stars: weights, ranges and cuts, held back toward what they were.

An ordinal model (P. McCullagh, "Regression Models for Ordinal Data", J. R. Stat. Soc. B 42 (1980)
109-142) on the genre's own score: for each k, P(stars >= k) = logistic(slope x (score - cut k)). Logarithms
of weights, shifts of ranges and cuts are normally distributed around the genre as it is, with the spreads
below. Faults are not fitted: they cap the stars before anything else counts, so a photo says nothing about
stars above its cap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from eyeline.agreement.minimise import Vector, minimise
from eyeline.agreement.rated import EYELINES_BEST, Rated, caps
from eyeline.judging.condition import truth
from eyeline.judging.rulebook import Criterion, Ideal, Rulebook, Stars
from eyeline.judging.score import desirability, logarithms

SPREAD_OF_WEIGHTS = 0.7
"""Standard deviation of a weight's logarithm: a factor of two either way is nothing unusual."""
SPREAD_OF_CUTS = 0.2
"""Standard deviation of a cut, on the score's scale of 0 to 1."""
SPREAD_OF_SHIFTS = 0.5
"""Standard deviation of a range's shift, in units of the way from ideal to worthless."""
USUAL_SLOPE, SPREAD_OF_SLOPE = 10.0, 0.7
"""Slope of the logistic against the score (its logarithm's standard deviation): neighbouring cuts lie 0.4
apart, and hardly a photo at one cut is meant for the next."""
SHIFTS = (-1.0, -0.5, -0.25, 0.25, 0.5, 1.0)
"""Shifts of a range that are tried."""
MOST_SHIFTS = 4
"""Ranges that may move in one fit."""
_LEAST_DESIRABILITY = 1e-3
"""A veto's zero has no logarithm; the score is then 0.1 % for every weight."""
_CUTS = EYELINES_BEST - 1


@dataclass(frozen=True, slots=True, eq=False)
class _Task:
    """`logs` (m, n): logarithms of lifted desirabilities, 0 where absent. `present` (m, n). `factor` (n,):
    on the score. `wanted` (3, n): whether theirs is at least 2, 3, 4. `counts` (3, n): whether that may be.
    """

    logs: NDArray[np.float64]
    present: NDArray[np.bool_]
    factor: NDArray[np.float64]
    wanted: NDArray[np.float64]
    counts: NDArray[np.float64]
    weights: NDArray[np.float64]
    cuts: NDArray[np.float64]

    def start(self) -> Vector:
        return np.concatenate([np.zeros(len(self.weights)), self.cuts, [np.log(USUAL_SLOPE)]])

    def loss(self, place: Vector) -> tuple[float, Vector]:
        """Penalised negative log likelihood and its gradient at (log weight factors, cuts, log slope)."""
        count = len(self.weights)
        theta, cuts, slope = place[:count], place[count : count + _CUTS], np.exp(place[-1])
        weight = (self.weights * np.exp(theta))[:, None] * self.present
        total = weight.sum(axis=0)
        total = np.where(total > 0, total, 1.0)
        mean = (weight * self.logs).sum(axis=0) / total
        score = np.exp(mean) * self.factor
        margin = slope * (score[None, :] - cuts[:, None])
        sign = 2 * self.wanted - 1
        miss = self.counts / (1 + np.exp(np.clip(sign * margin, -500, 500)))
        value = float((self.counts * np.logaddexp(0, -sign * margin)).sum())
        pull = -sign * miss
        by_score = slope * pull.sum(axis=0)
        by_theta = ((by_score * score / total)[None, :] * weight * (self.logs - mean)).sum(axis=1)
        by_cuts = -slope * pull.sum(axis=1)
        off_cuts, off_slope = cuts - self.cuts, place[-1] - np.log(USUAL_SLOPE)
        value += float(
            (theta**2).sum() / (2 * SPREAD_OF_WEIGHTS**2)
            + (off_cuts**2).sum() / (2 * SPREAD_OF_CUTS**2)
            + off_slope**2 / (2 * SPREAD_OF_SLOPE**2)
        )
        return value, np.concatenate(
            [
                by_theta + theta / SPREAD_OF_WEIGHTS**2,
                by_cuts + off_cuts / SPREAD_OF_CUTS**2,
                [(pull * margin).sum() + off_slope / SPREAD_OF_SLOPE**2],
            ]
        )


def fitted(rulebook: Rulebook, rated: Rated) -> Rulebook:
    """`rulebook` with weights, ranges and cuts as they fit best, in round numbers.

    What hardly changed is left exactly as it was. Deterministic.
    """
    criteria = list(rulebook.criteria)
    task = _task(rulebook, criteria, rated)
    place = minimise(task.loss, task.start())
    value = task.loss(place)[0]
    moved: set[int] = set()
    price = np.log(max(len(rated), 2)) / 2  # of one more number (Schwarz's criterion)
    while len(moved) < MOST_SHIFTS:
        best, chosen = value - price, None
        for number, criterion in enumerate(criteria):
            if number in moved or not _can_move(criterion):
                continue
            for shift in SHIFTS:
                trial = _shifted(criterion, shift)
                changed = replace(task, logs=task.logs.copy())
                changed.logs[number] = _logs([trial], rulebook.floor, rated)[0][0]
                there = changed.loss(place)[0] + shift**2 / (2 * SPREAD_OF_SHIFTS**2)
                if there < best:
                    best, chosen = there, (number, trial)
        if chosen is None:
            break
        criteria[chosen[0]] = chosen[1]
        moved.add(chosen[0])
        task = _task(rulebook, criteria, rated)
        place = minimise(task.loss, place)
        value = task.loss(place)[0]
    return _in_round_numbers(rulebook, criteria, place)


def _task(rulebook: Rulebook, criteria: Sequence[Criterion], rated: Rated) -> _Task:
    logs, present = _logs(criteria, rulebook.floor, rated)
    factor = np.ones(len(rated))
    for requirement in rulebook.requirements:
        factor = np.where(truth(requirement.when, rated.columns).yes, factor, rulebook.unmet)
    levels = np.arange(2, EYELINES_BEST + 1)[:, None]
    stars = rulebook.stars
    return _Task(
        logs,
        present,
        factor,
        (rated.theirs[None, :] >= levels).astype(np.float64),
        (caps(rulebook, rated.columns)[None, :] >= levels).astype(np.float64),
        np.array([each.weight for each in criteria]),
        np.array([stars.two, stars.three, stars.four]),
    )


def _logs(
    criteria: Sequence[Criterion], floor: float, rated: Rated
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    judged = np.stack([np.broadcast_to(desirability(each, rated.columns), len(rated)) for each in criteria])
    present = ~np.isnan(judged)
    logs = logarithms(np.maximum(judged, _LEAST_DESIRABILITY), criteria, floor)
    return np.where(present, logs, 0.0), present


def falloff(ideal: Ideal) -> float:
    """The mean way from ideal to worthless, in the measure's unit; 0 where there is none."""
    ways = [ideal.ideal_low - ideal.low, ideal.high - ideal.ideal_high]
    finite = [way for way in ways if isfinite(way) and way > 0]
    return sum(finite) / len(finite) if finite else 0.0


def _can_move(criterion: Criterion) -> bool:
    return len(criterion.ideals) == 1 and not criterion.ideals[0].words and falloff(criterion.ideals[0]) > 0


def _shifted(criterion: Criterion, shift: float) -> Criterion:
    (ideal,) = criterion.ideals
    step = shift * falloff(ideal)
    numbers = (ideal.low, ideal.ideal_low, ideal.ideal_high, ideal.high)
    low, ideal_low, ideal_high, high = (_round(number + step) for number in numbers)
    moved = replace(ideal, low=low, ideal_low=ideal_low, ideal_high=ideal_high, high=high)
    return replace(criterion, ideals=(moved,))


def _round(number: float) -> float:
    """Three significant digits, as rule files have them."""
    return float(f"{number:.3g}") if isfinite(number) else number


NOTABLE = 0.15
"""Change of a weight (of its logarithm) below which it is not worth a line in a rule file."""
NOTABLE_CUT = 0.02


def _in_round_numbers(rulebook: Rulebook, criteria: Sequence[Criterion], place: Vector) -> Rulebook:
    theta = place[: len(criteria)] - np.median(place[: len(criteria)])  # their common scale has no effect
    changed = [
        replace(each, weight=_round_weight(each.weight * float(np.exp(step))))
        if abs(step) >= NOTABLE
        else each
        for each, step in zip(criteria, theta, strict=True)
    ]
    before = (rulebook.stars.two, rulebook.stars.three, rulebook.stars.four)
    fitted_cuts = np.clip(np.sort(place[len(criteria) : len(criteria) + _CUTS]), 0.01, 0.99)
    cuts = [
        round(float(cut), 2) if abs(cut - old) >= NOTABLE_CUT else old
        for cut, old in zip(fitted_cuts, before, strict=True)
    ]
    two, three, four = sorted(cuts)
    stars = Stars(two, three, four, max(rulebook.stars.five, four))
    return replace(rulebook, criteria=tuple(changed), stars=stars)


def _round_weight(weight: float) -> float:
    return float(f"{weight:.2g}")
