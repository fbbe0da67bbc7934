"""How soft the sharpest edges of a patch are."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, pi, sqrt

import cv2
import numpy as np
from numpy.typing import NDArray

SCALES_PX = (0.7, 1.0, 1.4, 2.0, 2.8, 4.0, 5.6, 8.0)
"""Gaussian sigmas in pixels at which slopes are looked at: half octaves about the blur to be told."""

LEVELS = (0, 0, 0, 0, 1, 1, 2, 2)
"""Halvings of the patch at each scale: a scale of 4 pixels is one of 2 in a patch of half the size,
at a quarter of the cost."""

SHARPEST = 0.01
"""Share of the patch that counts: its steepest slopes. Lashes and the rim of the iris are a few
per cent of an eye; softer creases beside them say nothing about focus."""

DIFFERENCE_VARIANCE = 0.4
"""Variance in pixels² that the central difference and the pixel itself add to the blur (1/3 + 1/12,
analytic edge of reference-values)."""

ABOVE_NOISE = 3.0
"""Slopes must have this many times the energy that noise alone would show, else they are left out."""

LEAST_STEP = 2.0
"""Slope energy, in squared 8-bit levels, of a step of about five levels at the coarsest scales: below
it a patch is flat."""


@dataclass(frozen=True, slots=True, eq=False)
class Slopes:
    """`energy` (8,): mean squared slope, (levels per pixel)², of the steepest pixels at `SCALES_PX`."""

    energy: NDArray[np.float64]
    noise: float


def slopes(
    grey: NDArray[np.float32],
    mask: NDArray[np.bool_],
    noise: float = 0.0,
    direction: tuple[float, float] | None = None,
) -> Slopes:
    """Slopes of `grey` (M, N), 8-bit levels, within `mask` (M, N).

    `direction`: a unit vector (x, y); then slopes along it alone. `noise`: its standard deviation.
    """
    energy = np.zeros(len(SCALES_PX))
    level = 0
    for number, (scale, wanted) in enumerate(zip(SCALES_PX, LEVELS, strict=True)):
        while level < wanted:
            grey, mask = _halved(grey), mask[: mask.shape[0] // 2 * 2 : 2, : mask.shape[1] // 2 * 2 : 2]
            level += 1
        if not mask.any():
            break
        smooth = cv2.GaussianBlur(grey, (0, 0), scale / 2**level)
        across = cv2.Sobel(smooth, cv2.CV_32F, 1, 0, ksize=3, scale=1 / 8)[mask]
        down = cv2.Sobel(smooth, cv2.CV_32F, 0, 1, ksize=3, scale=1 / 8)[mask]
        if direction is None:
            squared = across**2 + down**2
        else:
            squared = (direction[0] * across + direction[1] * down) ** 2
        count = max(1, round(SHARPEST * squared.size))
        energy[number] = float(np.partition(squared, squared.size - count)[-count:].mean()) / 4.0**level
    return Slopes(energy, noise)


def edge_sigma(found: Slopes) -> float | None:
    """Gaussian sigma in pixels of the sharpest edges; None where there is no edge above the noise.

    The peak slope of a step that is blurred by σ and again by s falls as 1/√(σ² + s²): two values of
    s give σ, whatever the height of the step (re-blur ratio; Zhuo & Sim, Pattern Recognition 2011).
    The pair of scales is the finest that is not much finer than the blur found with it.
    """
    variance = [
        scale**2 + (4.0**level) * DIFFERENCE_VARIANCE + (4.0**level - 1) / 12
        for scale, level in zip(SCALES_PX, LEVELS, strict=True)
    ]
    sigma = None
    for fine in range(len(SCALES_PX) - 2):
        coarse = fine + 2
        floor = ABOVE_NOISE * (log(1 / SHARPEST) + 1) * found.noise**2 / (4 * pi * SCALES_PX[fine] ** 4)
        if found.energy[fine] < floor or found.energy[coarse] <= 0:
            continue
        ratio = found.energy[fine] / found.energy[coarse]
        if found.energy[coarse] * variance[coarse] * 2 * pi < LEAST_STEP or ratio <= 1.0:
            continue
        sigma = sqrt(max(0.0, (variance[coarse] - ratio * variance[fine]) / (ratio - 1.0)))
        if sigma <= 1.5 * SCALES_PX[fine + 1]:
            break
    return sigma


def _halved(grey: NDArray[np.float32]) -> NDArray[np.float32]:
    rows, columns = grey.shape[0] // 2, grey.shape[1] // 2
    even = grey[: 2 * rows, : 2 * columns]
    return np.asarray(cv2.resize(even, (columns, rows), interpolation=cv2.INTER_AREA))
