"""Desirability functions (Derringer & Suich 1980); their weighted geometric mean is in `score`.

G. Derringer, R. Suich, "Simultaneous Optimization of Several Response Variables", Journal of
Quality Technology 12 (1980) 214-219; formulas as in the NIST/SEMATECH e-Handbook, 5.5.3.2.2. Every
function works on arrays; NaN in (missing) is NaN out.
"""

from __future__ import annotations

from math import isfinite

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers = NDArray[np.float64]


def target_range(
    value: ArrayLike,
    low: float,
    ideal_low: float,
    ideal_high: float,
    high: float,
    shape_below: float = 1.0,
    shape_above: float = 1.0,
) -> Numbers:
    """1 between `ideal_low` and `ideal_high`, 0 outside `low` to `high`, powers of the share between.

    The paper's target is a point, `ideal_low` = `ideal_high`; a range is the usual reading of a
    target with tolerance. An infinite end leaves that side open. A limit that touches its ideal is
    a step.
    """
    number = np.asarray(value, dtype=np.float64)
    sides = []
    if isfinite(ideal_low):
        sides.append(_side(number, low, ideal_low, number >= ideal_low))
    if isfinite(ideal_high):
        sides.append(_side(number, high, ideal_high, number <= ideal_high))
    if not sides:
        return np.where(np.isnan(number), np.nan, 1.0)
    if shape_below == 1 == shape_above:
        return _between_0_and_1(np.minimum(sides[0], sides[-1]))
    shapes = [shape_below] * bool(isfinite(ideal_low)) + [shape_above] * bool(isfinite(ideal_high))
    powers = [_between_0_and_1(side) ** shape for side, shape in zip(sides, shapes, strict=True)]
    return np.asarray(np.minimum(powers[0], powers[-1]))


def _between_0_and_1(number: Numbers) -> Numbers:
    return np.maximum(np.minimum(number, 1.0), 0.0)


def _side(number: Numbers, limit: float, ideal: float, reached: NDArray[np.bool_]) -> Numbers:
    """The straight line through 0 at `limit` and 1 at `ideal`, a step where they meet; NaN stays NaN."""
    if limit == ideal:
        return np.where(np.isnan(number), np.nan, reached)
    return (number - limit) / (ideal - limit)


def lift(desirability: Numbers, floor: float | Numbers) -> Numbers:
    """Raise 0..1 to `floor`..1, so that one miss lowers the score without making all others mute.

    Linear and not clipped, so that of two poor values the better one still counts for more.
    """
    return floor + (1.0 - floor) * desirability
