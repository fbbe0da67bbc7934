"""Where the person is, as the silhouette model sees it."""

from __future__ import annotations

import cv2
import numpy as np

from eyeline.reading import models
from eyeline.reading.crop import square
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture

HEAD_CROP_FACES = 3.0
"""Side of the square about a head, in face-box heights: hair and shoulders fit in."""

MODEL_PX = 256
"""Side of the model's own input, pixels: it stretches what it is given to a square, and answers in the
size that it was given, so anything larger costs time and adds nothing."""


def body_silhouette(picture: Picture) -> Silhouette:
    """The silhouette of everybody in the whole picture."""
    square_picture = cv2.resize(picture.reduced, (MODEL_PX, MODEL_PX), interpolation=cv2.INTER_AREA)
    mask = models.person_silhouette().process(square_picture).segmentation_mask
    return Silhouette(np.asarray(mask, np.float32), 0.0, 0.0, float(picture.width), float(picture.height))


def head_silhouette(picture: Picture, box: tuple[float, float, float, float]) -> Silhouette:
    """The silhouette on a square of about three face heights around the face in `box`."""
    height = box[3] - box[1]
    centre = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2 - 0.1 * height)
    patch = square(picture, centre, HEAD_CROP_FACES * height, MODEL_PX)
    mask = models.person_silhouette().process(patch.rgb).segmentation_mask
    return Silhouette(
        np.asarray(mask, np.float32),
        patch.left,
        patch.top,
        patch.left + patch.side,
        patch.top + patch.side,
    )
