"""Noise at the face."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, sqrt

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.exposure import WHITE_LIMIT
from eyeline.measuring.pupils import pupils
from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject

KERNEL = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]], np.float32)
"""Difference of two Laplacians: zero on any ramp and on any straight edge along rows or columns."""

SKIN_POINTS = (36, 205, 50, 266, 425, 280, 151, 9, 199)
"""Smooth skin in mediapipe's mesh: both cheeks, the middle of the forehead, the chin."""

PATCH_INTERPUPILLARY = 0.16
"""Half the side of a patch, in interpupillary distances: about 10 mm of skin."""

MOST_SIDE_PX = 64
"""Side above which a patch is cut: 4000 pixels know their noise to 2 %."""

LEAST_SIDE_PX = 10
"""Side below which a patch in half size has fewer than 9 answers of the kernel."""

CALMER = 0.3
"""Quantile over the patches at half size: strands of hair and edges of shadow add to some."""

SKIN_TEXTURE = 0.95
"""Levels that skin itself shows at half size: median of the rendered crowd, whose noise is 0.4."""


def noise_sigma(grey: NDArray[np.float32]) -> float:
    """Standard deviation of white noise in `grey` (M, N), in its own levels.

    Immerkær, "Fast noise variance estimation", Computer Vision and Image Understanding 64(2), 1996.
    """
    answer = cv2.filter2D(grey, cv2.CV_32F, KERNEL)[1:-1, 1:-1]
    return float(sqrt(pi / 2) / 6 * np.abs(answer).mean())


def _at_half_size(grey: NDArray[np.float32]) -> float:
    """Noise of `grey` (M, N) as it shows at half size, where white noise is half as strong, times two."""
    rows, columns = grey.shape[0] // 2, grey.shape[1] // 2
    even = grey[: 2 * rows, : 2 * columns]
    return 2 * noise_sigma(np.asarray(cv2.resize(even, (columns, rows), interpolation=cv2.INTER_AREA)))


def skin_noise(rgb: NDArray[np.uint8], landmarks: NDArray[np.float32]) -> float | None:
    """Noise of the green channel in 8-bit levels, over patches of smooth skin.

    JPEG takes the finest part of noise away, so that it is looked at in full and in half size and the
    larger counts; at half size skin has texture of its own, which is taken off, and the calmer patches
    count. What JPEG took for good is not found again. None where no patch is usable.
    """
    half = min(MOST_SIDE_PX / 2, PATCH_INTERPUPILLARY * pupils(landmarks).interpupillary_px)
    full: list[float] = []
    half_size: list[float] = []
    for point in SKIN_POINTS:
        x, y = float(landmarks[point, 0]), float(landmarks[point, 1])
        left, top = max(0, int(x - half)), max(0, int(y - half))
        patch = rgb[top : max(0, int(y + half)), left : max(0, int(x + half)), 1]
        if min(patch.shape) < LEAST_SIDE_PX or patch.max() >= WHITE_LIMIT:
            continue
        grey = patch.astype(np.float32)
        full.append(noise_sigma(grey))
        half_size.append(_at_half_size(grey))
    if not full:
        return None
    calm = float(np.quantile(half_size, CALMER))
    return max(float(np.median(full)), sqrt(max(0.0, calm**2 - SKIN_TEXTURE**2)))


def measure_noise(subject: Subject) -> Sequence[Measurement]:
    """Noise of the skin at the file's full size."""
    name = MEASURE.quantities[0].name
    sitter = subject.seen.sitter
    if sitter is None or sitter.landmarks is None:
        return [Measurement(name, None, "no landmarks were found in the sitter's face")]
    sigma = skin_noise(subject.picture.rgb, sitter.landmarks)
    if sigma is None:
        return [Measurement(name, None, "the skin is too small in the picture, or blown out")]
    return [Measurement(name, sigma)]


MEASURE = Measure(
    quantities=(Quantity("noise_sigma", "8-bit levels", "noise at the face"),),
    function=measure_noise,
    source="Immerkær 1996",
)
