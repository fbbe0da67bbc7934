"""How soft the edges of a patch are: their slopes at several scales, and what these say of blur."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from math import log, pi, sqrt

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.pixels.halved import halved

SCALES_PX = (0.7, 1.0, 1.4, 2.0, 2.8, 4.0, 5.6, 8.0)
"""Gaussian sigmas in pixels at which slopes are looked at: half octaves about the blur to be told."""

LEVELS = (0, 0, 0, 0, 1, 1, 2, 2)
"""Halvings of the patch at each scale: a scale of 4 pixels is one of 2 in a patch of half the size,
at a quarter of the cost."""

SHARES = (0.01, 0.03, 0.1, 0.3)
"""Shares of the patch, steepest pixels first, over which slopes are averaged. One per cent of an eye is
lashes and the rim of the iris; three tenths are also creases and skin."""

DIRECTIONS = ((1.0, 0.0), (0.0, 1.0), (sqrt(0.5), sqrt(0.5)), (sqrt(0.5), -sqrt(0.5)))
"""Unit vectors (x, y) along which slopes are taken: rows, columns, both diagonals (first falling)."""

KINDS = 1 + len(DIRECTIONS)
"""Whole slopes, and those along each direction."""

MOST_PIXELS = 12000
"""Pixels at each scale that are looked at, evenly picked: with 2500 the
blur of a large eye of the shoot (iris radius 57 px) changed by a third when the picture was mirrored."""

DIFFERENCE_VARIANCE = 0.4
"""Variance in pixels² that the central difference and the pixel itself add to the blur (1/3 + 1/12,
analytic edge)."""

ABOVE_NOISE = 6.0
"""Slopes must have this many times the energy that noise alone would show, else they are left out."""

VARIANCES_PX2 = tuple(
    scale**2 + 4.0**level * DIFFERENCE_VARIANCE + (4.0**level - 1) / 12
    for scale, level in zip(SCALES_PX, LEVELS, strict=True)
)
"""Variance in pixels² that looking at each scale adds to the blur: its own, the difference's, and that of
averaging two by two."""

LEAST_STEP = 10.0
"""Height in 8-bit levels of the least step that counts as an edge: the seams between the blocks of an
ordinary JPEG are steps of some levels, as sharp as can be."""


def slope_energy(
    grey: NDArray[np.float32],
    mask: NDArray[np.bool_],
) -> NDArray[np.float64]:
    """Mean squared slopes of `grey` (M, N), 8-bit levels, within `mask` (M, N).

    Returns
    -------
    (8, 4, 5), (levels per pixel)²: by `SCALES_PX`, by `SHARES`, and of the whole slope followed by
    that along each of `DIRECTIONS`. Scales at which nothing of the mask is left are 0.
    """
    energy = np.zeros((len(SCALES_PX), len(SHARES), KINDS))
    for number, (across, down, level) in enumerate(_slopes(grey, mask)):
        energy[number] = _means_of_largest(_squared(across, down), SHARES) / 4.0**level
    return energy


def _slopes(
    grey: NDArray[np.float32], mask: NDArray[np.bool_] | None
) -> Iterator[tuple[NDArray[np.float32], NDArray[np.float32], int]]:
    """Slopes across and down (n,) at each scale, finest first, and how often `grey` was halved for it, of
    which slopes grow; each made when it is asked for. No `mask` = of every pixel.
    """
    level, places = 0, _places(mask)
    for scale, wanted in zip(SCALES_PX, LEVELS, strict=True):
        while level < wanted and min(grey.shape) >= 4:
            rows, columns = grey.shape[0] // 2, grey.shape[1] // 2
            grey = halved(grey)
            mask = None if mask is None else mask[: 2 * rows : 2, : 2 * columns : 2]
            level, places = level + 1, _places(mask)
        if level < wanted or (places is not None and places.size == 0):
            return
        smooth = cv2.GaussianBlur(grey, (0, 0), scale / 2**level)
        across, down = (
            np.asarray(cv2.Sobel(smooth, cv2.CV_32F, *order, ksize=3, scale=1 / 8), np.float32).ravel()
            for order in ((1, 0), (0, 1))
        )
        if places is not None:
            across, down = across.take(places), down.take(places)
        yield across, down, level


def _squared(across: NDArray[np.float32], down: NDArray[np.float32]) -> NDArray[np.float32]:
    """Squares of whole slopes, and of those along each of `DIRECTIONS`, (KINDS, n)."""
    squared = np.empty((KINDS, across.size), np.float32)
    whole, along_rows, along_columns, falling, rising = squared
    np.multiply(across, across, out=along_rows)
    np.multiply(down, down, out=along_columns)
    np.add(along_rows, along_columns, out=whole)
    halves, falls = whole / 2, across * down
    np.add(halves, falls, out=falling)
    np.subtract(halves, falls, out=rising)
    return squared


def _places(mask: NDArray[np.bool_] | None) -> NDArray[np.intp] | None:
    """Places in the `mask` (M, N) that are looked at, row by row: some `MOST_PIXELS`; None where all are."""
    if mask is None:
        return None
    inside = np.flatnonzero(mask)
    return np.asarray(inside[:: max(1, inside.size // MOST_PIXELS)])


def _means_of_largest(values: NDArray[np.float32], shares: Sequence[float]) -> NDArray[np.float64]:
    """Means over the largest `shares`, which rise, of each row of `values` (D, n), none of which is below 0
    but by rounding: (shares, D). They are put into another order.
    """
    counts = [max(1, round(share * values.shape[1])) for share in shares]
    means, rest = np.empty((len(counts), len(values))), values
    # Each share is parted from what the next larger one has left: few values are looked at more than once.
    for number, count in reversed(list(enumerate(counts))):
        others = rest.shape[1] - count
        # Such numbers lie in the order of their bits, and NumPy parts integers in half the time.
        rest.view(np.int32).partition(others, axis=1)
        rest = rest[:, others:]
        means[number] = rest.sum(axis=1) / count
    return means


def _peak(squared: NDArray[np.float32]) -> float:
    """Mean of the largest of `SHARES`' first among `squared` (n,), none of which is below 0."""
    count = max(1, round(SHARES[0] * squared.size))
    # As integers, and upside down: NumPy parts values by one that it picks, and where that is the least of
    # all, as in a smooth background, it gets nowhere for some twenty rounds.
    upside_down = -squared.view(np.int32)
    upside_down.partition(count - 1)
    return float((-upside_down[:count]).view(np.float32).sum() / count)


def edge_sigma(energy: NDArray[np.float64], noise: float, direction: int = 0) -> float | None:
    """Gaussian sigma in pixels of the sharpest edges, from `slope_energy`; None without an edge.

    The peak slope of a step that is blurred by σ and again by s falls as 1/√(σ² + s²): two values of
    s give σ, whatever the height of the step (re-blur ratio; Zhuo & Sim, Pattern Recognition 44,
    2011). The pair of scales is the finest that is not much finer than the blur found with it. True
    for steps that stand alone; a line reads up to √2 too sharp.

    `noise`: standard deviation in 8-bit levels. `direction`: 0 for whole slopes, else 1 + the index in
    `DIRECTIONS`.
    """
    return _sharpest(energy[:, 0, direction].tolist(), noise)


def edge_sigma_in(grey: NDArray[np.float32], noise: float) -> float | None:
    """`edge_sigma` of the whole slopes of every pixel of `grey` (M, N), by no more scales than it takes."""
    peaks = (_peak(across * across + down * down) / 4.0**level for across, down, level in _slopes(grey, None))
    return _sharpest(peaks, noise)


def _sharpest(peaks: Iterable[float], noise: float) -> float | None:
    """`edge_sigma` from the energy of the steepest slopes, by scale, as many as there are."""
    sigma = None
    for fine, (peak, _, coarse_peak) in enumerate(_threes(peaks)):
        coarse = fine + 2
        noise_peak = (log(1 / SHARES[0]) + 1) * noise**2 / (4 * pi * SCALES_PX[fine] ** 4)
        if peak <= ABOVE_NOISE * noise_peak or coarse_peak <= 0:
            continue
        ratio = peak / coarse_peak
        if ratio <= 1.0:
            continue
        found = max(0.0, (VARIANCES_PX2[coarse] - ratio * VARIANCES_PX2[fine]) / (ratio - 1.0))
        if 2 * pi * (found + VARIANCES_PX2[fine]) * peak < LEAST_STEP**2:
            continue
        sigma = sqrt(found)
        if sigma <= 1.5 * SCALES_PX[fine + 1]:
            break
    return sigma


def _threes(values: Iterable[float]) -> Iterator[tuple[float, ...]]:
    """Each value with the two that follow it."""
    last: deque[float] = deque(maxlen=3)
    for value in values:
        last.append(value)
        if len(last) == 3:
            yield tuple(last)
