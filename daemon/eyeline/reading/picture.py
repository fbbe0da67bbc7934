"""From a stream to upright sRGB pixels, decoded once."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.pixels.halved import halved
from eyeline.reading.stream import Stream
from eyeline.terms.frame import Picture

REDUCED_LONG_SIDE_PX = 1024
"""Long side of the picture that models look at: the face detector resizes to 192 px and the
silhouette to 256 px, and a head of 20 % of the frame still has 200 px here."""

_TO_UPRIGHT = {
    2: (None, 1),
    3: (cv2.ROTATE_180, None),
    4: (None, 0),
    5: (cv2.ROTATE_90_COUNTERCLOCKWISE, 0),
    6: (cv2.ROTATE_90_CLOCKWISE, None),
    7: (cv2.ROTATE_90_CLOCKWISE, 0),
    8: (cv2.ROTATE_90_COUNTERCLOCKWISE, None),
}
"""EXIF Orientation (CIPA DC-008, tag 0x0112): the turn, then the flip (OpenCV's code), to upright."""


def upright(stored: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """Turn pixels as stored, (M, N, 3) or (M, N), upright by EXIF `orientation` 1 to 8."""
    if orientation not in _TO_UPRIGHT:
        return stored
    turn, flip = _TO_UPRIGHT[orientation]
    turned = stored if turn is None else cv2.rotate(stored, turn)
    return np.asarray(turned if flip is None else cv2.flip(turned, flip))


def picture_of(stream: Stream) -> Picture:
    """Decode `stream` to upright sRGB.

    Raises UnreadablePhoto when the image data ends early or is corrupt, so a copy under way or a file
    preallocated at full size does not pass for a whole photo.
    """
    rgb = np.ascontiguousarray(upright(stream.decode(), stream.orientation))
    return Picture(rgb=rgb, reduced=reduced(rgb), is_preview=stream.is_preview)


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
