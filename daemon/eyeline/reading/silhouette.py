"""Where the person is, as the silhouette model sees it."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.reading.crop import square
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
    """The silhouette on a square of about three face heights around the face in `box`."""
    height = box[3] - box[1]
    centre = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2 - 0.1 * height)
    patch = square(picture, centre, HEAD_CROP_FACES * height, MODEL_PX)
    return Silhouette(
        person_in(patch.rgb),
        patch.left,
        patch.top,
        patch.left + patch.side,
        patch.top + patch.side,
    )


def person_in(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """The probability (256, 256) of a person at each pixel of `rgb`, uint8 (256, 256, 3)."""
    (person,) = answers("silhouette", rgb[None])
    return np.asarray(person[0, :, :, 0], np.float32)
