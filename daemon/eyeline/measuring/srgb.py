"""Light in sRGB pixels: the transfer function, relative luminance and contrast ratio.

IEC 61966-2-1 (sRGB) and WCAG 2.2, which share their constants. 1.0 is the white of the file.
"""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

LINEAR_SEGMENT_END: Final = 0.04045
"""Encoded value below which sRGB is a straight line (WCAG 2.2 since May 2021; no 8-bit value between
this and the earlier 0.03928)."""
LINEAR_SEGMENT_SLOPE: Final = 12.92
LUMINANCE_WEIGHTS: Final = np.array([0.2126, 0.7152, 0.0722])
"""Share of red, green and blue in relative luminance (WCAG 2.2; ITU-R BT.709 primaries)."""
VIEWING_FLARE: Final = 0.05
"""Light that a typical screen reflects, added to both sides of a contrast ratio (WCAG 2.2)."""


def _decoded(encoded: NDArray[np.float64]) -> NDArray[np.float64]:
    line = encoded / LINEAR_SEGMENT_SLOPE
    curve = ((encoded + 0.055) / 1.055) ** 2.4
    return np.where(encoded <= LINEAR_SEGMENT_END, line, curve)


LINEAR_OF_BYTE: Final = _decoded(np.arange(256) / 255.0)
"""Linear light 0 to 1 of every 8-bit sRGB value."""
_LINEAR_OF_BYTE_SINGLE: Final = LINEAR_OF_BYTE.astype(np.float32)
_LUMINANCE_OF_BYTE: Final = (LINEAR_OF_BYTE[:, None] * LUMINANCE_WEIGHTS).astype(np.float32)[None]
"""What each value of red, green and blue adds to relative luminance, (1, 256, 3)."""
_SUM: Final = np.ones((1, 3), np.float32)


def decode(pixels: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Linear light 0 to 1 of 8-bit sRGB `pixels`, any shape."""
    return np.asarray(_LINEAR_OF_BYTE_SINGLE[pixels])


def encode(linear: ArrayLike) -> NDArray[np.float64]:
    """sRGB on the scale 0 to 255, not rounded, of `linear` light, any shape; clipped at 0 and 1."""
    light = np.clip(np.asarray(linear, np.float64), 0.0, 1.0)
    line = LINEAR_SEGMENT_SLOPE * light
    curve = 1.055 * light ** (1 / 2.4) - 0.055
    return 255.0 * np.where(light <= 0.0031308, line, curve)


def luminance(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Relative luminance 0 to 1 (WCAG 2.2) of 8-bit sRGB pixels `rgb`, (..., 3)."""
    if rgb.size == 0:
        return np.zeros(rgb.shape[:-1], np.float32)
    rows = rgb if rgb.ndim == 3 else rgb.reshape(-1, 1, 3)  # rows of a larger picture need not be copied
    of_channels = cv2.LUT(rows, _LUMINANCE_OF_BYTE)
    return np.asarray(cv2.transform(of_channels, _SUM), np.float32).reshape(rgb.shape[:-1])


def contrast_ratio(luminance_a: ArrayLike, luminance_b: ArrayLike) -> NDArray[np.float64]:
    """WCAG 2.2 contrast ratio, 1 (none) to 21 (black on white), of two relative luminances."""
    a = np.asarray(luminance_a, np.float64)
    b = np.asarray(luminance_b, np.float64)
    return (np.maximum(a, b) + VIEWING_FLARE) / (np.minimum(a, b) + VIEWING_FLARE)
