"""From a stream to a picture, decoded once."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.pixels.halved import halved
from eyeline.reading.full_size import AtOnce, full_size, upright
from eyeline.reading.stream import Stored, Stream
from eyeline.terms.frame import Picture

REDUCED_LONG_SIDE_PX = 1024
"""Long side of the picture that models look at: the face detector resizes to 192 px and the
silhouette to 256 px, and a head of 20 % of the frame still has 200 px here."""

MIDDLE_LONG_SIDE_PX = 1600
"""Long side of the picture to look at, on a screen or a page, give or take a factor of the square root of 2:
what halving yields on the way down costs nothing."""


def picture_of(stream: Stream) -> Picture:
    """Decode `stream` to upright sRGB.

    Raises UnreadablePhoto when the image data ends early or is corrupt, so a copy under way or a file
    preallocated at full size does not pass for a whole photo.
    """
    stored = stream.decode()
    middle, small = _reductions(stored.pixels)
    if stored.to_srgb is not None:
        small = stored.to_srgb(small)
    return Picture(
        rgb=full_size(stored, stream.orientation),
        reduced=np.ascontiguousarray(upright(small, stream.orientation)),
        is_preview=stream.is_preview,
        middle=AtOnce(Stored(middle, stored.to_srgb), stream.orientation),
    )


def reduced(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """`rgb` (M, N, 3) with its long side brought down to `REDUCED_LONG_SIDE_PX`; never enlarged.

    Every pixel is the mean of the area that it covers; halving goes as far as it leads.
    """
    return _reductions(rgb)[1]


def _reductions(rgb: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """`rgb` to look at, and reduced."""
    middle = None
    while max(rgb.shape[:2]) >= 2 * REDUCED_LONG_SIDE_PX and rgb.shape[0] % 2 == rgb.shape[1] % 2 == 0:
        middle = rgb if middle is None and _is_middle(rgb) else middle
        rgb = halved(rgb)
    middle = rgb if middle is None else middle
    while not _is_middle(middle):
        middle = halved(middle)
    return middle, _resized(rgb)


def _is_middle(rgb: NDArray[np.uint8]) -> bool:
    height, width = rgb.shape[:2]
    return bool(max(height, width) < MIDDLE_LONG_SIDE_PX * math.sqrt(2) or min(height, width) == 1)


def _resized(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    scale = REDUCED_LONG_SIDE_PX / max(rgb.shape[:2])
    if scale >= 1:
        return rgb
    size = (max(1, round(rgb.shape[1] * scale)), max(1, round(rgb.shape[0] * scale)))
    return np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA))
