"""A small upright picture of a face, alike in size and place, for the cover network to look at."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.face_shape import Posture
from eyeline.measuring.rotation import decompose
from eyeline.pixels.halved import halved
from eyeline.terms.frame import Pixels

SIDE_PX = 80
"""Side of a patch."""

FACE_POINTS = 468
"""Points of mediapipe's mesh before those of the irises, which follow the look."""

SIDE_CM = 22.0
"""What a patch spans on the usual face: the mesh is 17 cm high, a little air shows what is about it."""


def face_patch(
    rgb: Pixels,
    landmarks: NDArray[np.float32],
    face: Posture,
    side_cm: float = SIDE_CM,
    side_px: int = SIDE_PX,
) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    """The face with `landmarks` (478, 3) in the picture `rgb` (M, N, 3), `side_cm` of the usual face wide.

    Returns
    -------
    patch
        (side_px, side_px, 3): the mesh's middle in the middle, the head's roll undone; beyond the picture
        its edge goes on. Where it is coarser than the picture, pixels are averaged, not skipped.
    to_picture
        (2, 3): takes patch coordinates (x, y; the middle of the first pixel is 0, 0) to pixels of the
        picture, whose first pixel has its middle at 0.5, 0.5.
    """
    roll = float(np.radians(decompose(face.rotation)[2]))
    turn = np.array([[np.cos(roll), -np.sin(roll)], [np.sin(roll), np.cos(roll)]])
    linear = side_cm * face.scale / side_px * turn
    middle = landmarks[:FACE_POINTS, :2].astype(np.float64).mean(axis=0)
    shift = middle - linear @ [(side_px - 1) / 2, (side_px - 1) / 2]
    to_picture = np.column_stack([linear, shift])

    # Half the diagonal of the square, whichever way it is turned, and two pixels for the interpolation.
    reach = 0.75 * side_cm * face.scale + 2
    height, width = rgb.shape[:2]
    left, top = (int(np.clip(v - reach, 0, n - 1)) for v, n in zip(middle, (width, height), strict=True))
    right, bottom = (
        int(np.clip(v + reach, low + 1, n))
        for v, low, n in zip(middle, (left, top), (width, height), strict=True)
    )
    part, coarser = rgb[top:bottom, left:right], 1.0
    while side_cm * face.scale / side_px >= 2 * coarser and min(part.shape[:2]) >= 2:
        part = halved(part)
        coarser *= 2
    here = np.column_stack([linear, shift - (left, top)]) / coarser
    here[:, 2] -= 0.5
    patch = cv2.warpAffine(
        part,
        here,
        (side_px, side_px),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return np.asarray(patch, np.uint8), to_picture
