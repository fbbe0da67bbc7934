"""Where the person is, as the silhouette model sees it."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.reading.crop import mirrored, square
from eyeline.reading.models import answers
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture

HEAD_CROP_FACES = 3.0
"""Side of the square about a head, in face-box heights: hair and shoulders fit in."""

MODEL_PX = 256
"""Side of the model's picture and of its answer, in pixels."""


def body_silhouette(picture: Picture) -> Silhouette:
    """The silhouette of everybody in the whole picture."""
    square_picture = cv2.resize(picture.reduced, (MODEL_PX, MODEL_PX), interpolation=cv2.INTER_AREA)
    return Silhouette(
        person_in(np.asarray(square_picture, np.uint8)), 0.0, 0.0, float(picture.width), float(picture.height)
    )


def head_silhouette(picture: Picture, box: tuple[float, float, float, float]) -> Silhouette:
    """The silhouette on a square of about three face heights around the face in `box`.

    The model looks at the mirrored square too and the mean of both counts, since alone it draws the two sides
    of one head differently (separation in the mirror within 10 %: 48 of 50 portraits, by the mean all 50).
    That costs one more look of the model, 4 ms.
    """
    height = box[3] - box[1]
    centre = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2 - 0.1 * height)
    patch = square(picture, centre, HEAD_CROP_FACES * height, MODEL_PX)
    there = person_in(mirrored(patch.rgb))[:, ::-1]
    return Silhouette(
        np.asarray((person_in(patch.rgb) + there) / 2, np.float32),
        patch.left,
        patch.top,
        patch.left + patch.side,
        patch.top + patch.side,
    )


def person_in(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """The probability (256, 256) of a person at each pixel of `rgb`, uint8 (256, 256, 3)."""
    (person,) = answers("silhouette", rgb[None])
    return np.asarray(person[0, :, :, 0], np.float32)
