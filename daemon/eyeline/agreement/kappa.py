"""Quadratic weighted kappa: agreement beyond chance, where a miss by two stars weighs four times one by one.

J. Cohen, "Weighted kappa", Psychological Bulletin 70 (1968) 213-220.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

STARS = (1, 2, 3, 4, 5)
"""All levels, those that nobody gave included: weights go by distance, so one left out shifts them."""


def confusion(first: ArrayLike, second: ArrayLike, levels: ArrayLike = STARS) -> NDArray[np.float64]:
    """Counts (levels, levels): how often the first rater gave the row's level and the second the column's.

    Raises ValueError for a rating that is not among `levels`.
    """
    known = np.asarray(levels)
    rows, columns = np.asarray(first), np.asarray(second)
    if rows.shape != columns.shape:
        raise ValueError("two raters rate the same photos")
    if not (np.isin(rows, known).all() and np.isin(columns, known).all()):
        raise ValueError(f"a rating is none of {known.tolist()}")
    counts = np.zeros((len(known), len(known)))
    np.add.at(counts, (np.searchsorted(known, rows), np.searchsorted(known, columns)), 1.0)
    return counts


def kappa_of_table(counts: ArrayLike, disagreement: ArrayLike) -> float | None:
    """1 minus observed over expected disagreement; None where chance alone already leaves none.

    `counts`: counts or shares (k, k). `disagreement`: weights (k, k), 0 on the diagonal.
    """
    table = np.asarray(counts, dtype=np.float64)
    weight = np.asarray(disagreement, dtype=np.float64)
    expected = np.outer(table.sum(axis=1), table.sum(axis=0)) / table.sum()
    by_chance = float((weight * expected).sum())
    return None if by_chance == 0 else 1.0 - float((weight * table).sum()) / by_chance


def quadratic_weights(levels: ArrayLike = STARS) -> NDArray[np.float64]:
    """Squared distances between the places of levels, (k, k)."""
    place = np.arange(len(np.asarray(levels)), dtype=np.float64)
    return np.asarray((place[:, None] - place[None, :]) ** 2)


def quadratic_weighted_kappa(first: ArrayLike, second: ArrayLike, levels: ArrayLike = STARS) -> float | None:
    """Agreement of two raters, 1 = always, 0 = as by chance; None where both gave one and the same level."""
    if len(np.asarray(first)) == 0:
        return None
    return kappa_of_table(confusion(first, second, levels), quadratic_weights(levels))
