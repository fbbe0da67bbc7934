"""What the photographer's own crops do, beside what a genre wants: the middle of each measure of framing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import comb, isfinite

import numpy as np
from numpy.typing import NDArray

from eyeline.agreement.proposal import RangeChange
from eyeline.judging.columns import Columns
from eyeline.judging.rulebook import Criterion, Ideal, Rulebook
from eyeline.judging.score import applies

CERTAINTY = 0.99
"""That the middle of all crops of this hand lies within the bounds that are told. One of six criteria of
framing then says too much in one of seventeen runs."""

LEAST_SERIES = 8
"""Series with own crops from which a middle is told: the fewest of which all on one side of it are chance in
less than 1 - CERTAINTY (sign test: 2 × 0.5^8 = 0.8 %)."""

DECIMALS = 3
"""Of proposed ends: rule files have two, and a pixel of a 4:5 crop of 1000 px is one thousandth."""


@dataclass(frozen=True, slots=True)
class CropHabit:
    """A criterion of framing on own crops. `crops` of `series`; `median`, and `low`, `high`, its bounds.
    `moved`: the range with its middle there; `is_elsewhere`: the genre's own does not meet the bounds."""

    criterion: Criterion
    crops: int
    series: int
    median: float
    low: float
    high: float
    moved: RangeChange
    is_elsewhere: bool


def crop_habits(
    rulebook: Rulebook, columns: Columns, series: NDArray[np.intp], framing: Iterable[str]
) -> tuple[CropHabit, ...]:
    """What own crops do on each criterion of `rulebook` that has one range of one of the measures `framing`.

    `columns`: measures of each crop, a row each. `series` (n,): crops with one number are of one series, or
    of one frame in several formats: nearly one picture, so their median counts once.
    """
    measures = frozenset(framing)
    found = []
    for criterion in rulebook.criteria:
        ideal = criterion.ideals[0]
        if len(criterion.ideals) > 1 or ideal.words or ideal.measure not in measures or not criterion.weight:
            continue
        values = np.broadcast_to(columns.number(ideal.measure), columns.count)
        values = np.abs(values) if ideal.ignore_sign else values
        counts = np.isfinite(values) & np.broadcast_to(applies(criterion, columns), columns.count)
        middles = [np.median(values[counts & (series == each)]) for each in np.unique(series[counts])]
        if len(middles) < LEAST_SERIES:
            continue
        low, high = median_bounds(middles, CERTAINTY)
        median = float(np.median(middles))
        is_elsewhere = high < ideal.ideal_low or low > ideal.ideal_high
        moved = _moved(criterion, median)
        found.append(
            CropHabit(criterion, int(counts.sum()), len(middles), median, low, high, moved, is_elsewhere)
        )
    return tuple(found)


def median_bounds(values: Iterable[float], certainty: float) -> tuple[float, float]:
    """Bounds between which the median of what `values` were drawn from lies with at least that certainty, by
    order statistics (W. J. Conover, Practical Nonparametric Statistics, 3rd ed., 3.2): nothing is assumed of
    how they are distributed. Infinite where there are too few."""
    ordered = sorted(values)
    n, outside, left = len(ordered), 0, 0.0
    while outside < n // 2 and 2 * (left + comb(n, outside) * 0.5**n) <= 1 - certainty:
        left += comb(n, outside) * 0.5**n
        outside += 1
    if not outside:
        return -np.inf, np.inf
    return float(ordered[outside - 1]), float(ordered[n - outside])


def _moved(criterion: Criterion, median: float) -> RangeChange:
    """The range as wide as it was, its middle on `median`; where a side is open, its one end moves there."""
    ideal = criterion.ideals[0]
    if isfinite(ideal.ideal_low) and isfinite(ideal.ideal_high):
        step = median - (ideal.ideal_low + ideal.ideal_high) / 2
    else:
        step = median - (ideal.ideal_low if isfinite(ideal.ideal_low) else ideal.ideal_high)
    before = _ends(ideal)
    low, ideal_low, ideal_high, high = (round(each + step, DECIMALS) for each in before)
    return RangeChange(criterion.name, ideal.measure, before, (low, ideal_low, ideal_high, high))


def _ends(ideal: Ideal) -> tuple[float, float, float, float]:
    return ideal.low, ideal.ideal_low, ideal.ideal_high, ideal.high
