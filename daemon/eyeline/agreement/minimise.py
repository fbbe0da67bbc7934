"""BFGS with a backtracking line search: the least of a smooth function of a few dozen numbers.

J. Nocedal, S. Wright, Numerical Optimization (2006), algorithm 6.1 and 3.1.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]

_STEPS = 200
_LONGEST_STEP = 1.0
"""In any one number: logarithms and cuts, of order 1, so that no first step leaves all bounds."""
_FLAT = 1e-6
"""Largest slope at which the bottom is reached: the penalised loss is of order 1."""
_SUFFICIENT = 1e-4
"""Share of the promised decrease that a step must bring (Nocedal & Wright, 3.1)."""


def minimise(function: Callable[[Vector], tuple[float, Vector]], start: Vector) -> Vector:
    """The place of the least value near `start`; `function` answers with value and gradient."""
    place = start.copy()
    value, slope = function(place)
    inverse = np.eye(len(start))
    for _ in range(_STEPS):
        if np.abs(slope).max() < _FLAT:
            break
        direction = -inverse @ slope
        promised = float(direction @ slope)
        if promised >= 0:
            inverse, direction = np.eye(len(start)), -slope
            promised = float(direction @ slope)
        length = min(1.0, _LONGEST_STEP / float(np.abs(direction).max()))
        while length > 1e-10:
            step = length * direction
            there, slope_there = function(place + step)
            if there <= value + _SUFFICIENT * length * promised:
                break
            length /= 2
        else:
            break
        bend = slope_there - slope
        curvature = float(bend @ step)
        if curvature > 1e-12:
            left = np.eye(len(start)) - np.outer(step, bend) / curvature
            inverse = left @ inverse @ left.T + np.outer(step, step) / curvature
        place, value, slope = place + step, there, slope_there
    return place
