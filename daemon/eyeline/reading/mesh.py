"""From a face box to 478 landmarks."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from eyeline.reading import models
from eyeline.reading.crop import square
from eyeline.reading.finder import Box
from eyeline.terms.frame import Picture

CROP_FACES = 2.0
"""Side of the crop that the mesh looks at, in face-box sides: its own finder wants air around a face."""

CROP_PX = 384
"""Side of that crop in pixels: twice the mesh's own input of 192."""


def landmarks_in(picture: Picture, box: Box) -> NDArray[np.float32] | None:
    """Landmarks (478, 3) of the face in `box`, in pixels of the full-size picture; None if none is found.

    z is in the scale of x, negative toward the camera.
    """
    side = CROP_FACES * max(box[2] - box[0], box[3] - box[1])
    patch = square(picture, ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), side, CROP_PX)
    found = models.face_mesh().process(patch.rgb)
    if not found.multi_face_landmarks:
        return None
    relative = np.array(
        [(point.x, point.y, point.z) for point in found.multi_face_landmarks[0].landmark], np.float32
    )
    return relative * np.float32(patch.side) + np.array([patch.left, patch.top, 0], np.float32)
