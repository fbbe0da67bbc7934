"""Kendall's tau-b: do two raters order the photos alike? Ties are taken out of the count of pairs.

M. G. Kendall, "The treatment of ties in ranking problems", Biometrika 33 (1945) 239-251.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

_ROWS_AT_ONCE = 512  # rows of the table of pairs that are held at a time: bounds memory


def tau_b(first: ArrayLike, second: ArrayLike) -> float | None:
    """(concordant - discordant) / sqrt((pairs - ties in x)(pairs - ties in y)), -1 to 1.

    None where a rater is constant: there is no order to agree with.
    """
    x, y = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    if x.shape != y.shape:
        raise ValueError("two raters rate the same photos")
    concordance = untied_x = untied_y = 0.0
    for start in range(0, len(x), _ROWS_AT_ONCE):
        rows = slice(start, start + _ROWS_AT_ONCE)
        dx = np.sign(x[rows, None] - x[None, :])
        dy = np.sign(y[rows, None] - y[None, :])
        concordance += float((dx * dy).sum())
        untied_x += float(np.abs(dx).sum())
        untied_y += float(np.abs(dy).sum())
    if untied_x == 0 or untied_y == 0:
        return None
    return concordance / math.sqrt(untied_x * untied_y)
