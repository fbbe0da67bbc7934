"""From a stream to a picture, decoded once."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.pixels.halved import halved
from eyeline.reading.full_size import full_size, upright
from eyeline.reading.stream import Stream
from eyeline.terms.frame import Picture

REDUCED_LONG_SIDE_PX = 1024
"""Long side of the picture that models look at: the face detector resizes to 192 px and the
silhouette to 256 px, and a head of 20 % of the frame still has 200 px here."""


def picture_of(stream: Stream) -> Picture:
    """Decode `stream` to upright sRGB.

    Raises UnreadablePhoto when the image data ends early or is corrupt, so a copy under way or a file
    preallocated at full size does not pass for a whole photo.
    """
    stored = stream.decode()
    small = reduced(stored.pixels)
    if stored.to_srgb is not None:
        small = stored.to_srgb(small)
    return Picture(
        rgb=full_size(stored, stream.orientation),
        reduced=np.ascontiguousarray(upright(small, stream.orientation)),
        is_preview=stream.is_preview,
    )


def reduced(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """`rgb` (M, N, 3) with its long side brought down to `REDUCED_LONG_SIDE_PX`; never enlarged.

    Every pixel is the mean of the area that it covers; halving goes as far as it leads.
    """
    while max(rgb.shape[:2]) >= 2 * REDUCED_LONG_SIDE_PX and rgb.shape[0] % 2 == rgb.shape[1] % 2 == 0:
        rgb = halved(rgb)
    scale = REDUCED_LONG_SIDE_PX / max(rgb.shape[:2])
    if scale >= 1:
        return rgb
    size = (max(1, round(rgb.shape[1] * scale)), max(1, round(rgb.shape[0] * scale)))
    return np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA))
