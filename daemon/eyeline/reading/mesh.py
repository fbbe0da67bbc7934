"""From a face box to 478 landmarks.

The short-range detector says how the face is turned, the mesh looks at the upright square about it: the graph
of mediapipe's FaceLandmarkFront, for one face and no memory.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.face_shape import mirrored
from eyeline.reading import crop
from eyeline.reading.boxes import Box
from eyeline.reading.detector import SHORT_RANGE, Detection
from eyeline.reading.models import answers
from eyeline.reading.warp import Square
from eyeline.terms.frame import Picture

CROP_FACES = 2.0
"""Side of the crop that is looked at, in face-box sides: the short-range detector wants air around a face."""

CROP_PX = 384
"""Side of that crop in pixels: twice the mesh's own input."""

MESH_PX = 192
"""Side of the mesh's own picture."""

LEAST_SCORE = 0.2
"""Score from which the short-range detector's face counts, in a crop that the full-range detector has
chosen."""

LEAST_PRESENCE = 0.5
"""Probability that there is a face at all, by the mesh itself, from which its landmarks count (its authors'
default)."""

FEATURES = ((33, 133, 159, 145), (362, 263, 386, 374), (1,), (13, 14))
"""Landmarks of the eyes, the tip of the nose and the mouth, in the order of the detector's points."""

FARTHEST = 0.2
"""Most that a feature of the mesh may lie from the detector's, in heights of its box (measured on 187 faces,
rendered and real: at most 0.08; the eyes are 0.4 apart)."""

REGION_FACES = 1.5
"""Side of the mesh's square in sides of the short-range detector's box (its authors' setting)."""


def landmarks_in(picture: Picture, box: Box, in_mirror: bool = False) -> NDArray[np.float32] | None:
    """Landmarks (478, 3) of the face in `box`, in pixels of the full-size picture; None if none is found.

    z is in the scale of x, negative toward the camera. `in_mirror`: the models look at the mirrored crop;
    what they find is brought back.
    """
    side = CROP_FACES * max(box[2] - box[0], box[3] - box[1])
    patch = crop.square(picture, ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), side, CROP_PX)
    found = landmarks_of(crop.mirrored(patch.rgb) if in_mirror else patch.rgb)
    if found is None:
        return None
    if in_mirror:
        found = mirrored(found, CROP_PX)
    return found * np.float32(patch.scale) + np.array([patch.left, patch.top, 0], np.float32)


def landmarks_of(rgb: NDArray[np.uint8]) -> NDArray[np.float32] | None:
    """Landmarks (478, 3) of the surest face in `rgb`, uint8 (m, n, 3), in its pixels; None if there is
    none."""
    detections = SHORT_RANGE.found(rgb, LEAST_SCORE)
    if not detections:
        return None
    region = upright(detections[0])
    landmarks, presence = answers("face_mesh", region.cut(rgb, MESH_PX, cv2.BORDER_REPLICATE)[None])
    if 1 / (1 + np.exp(-float(presence[0, 0]))) <= LEAST_PRESENCE:
        return None
    across = region.out_of(landmarks[0, :, :2].astype(np.float64))
    if not agree(across, detections[0]):
        return None
    return np.column_stack([across, landmarks[0, :, 2] * region.side]).astype(np.float32)


def agree(places: NDArray[np.float64], detection: Detection) -> bool:
    """Whether the mesh's eyes, nose and mouth, of landmarks (478, 2), are where the detector saw them: an ear
    taken for an eye, or a mesh that slid off its face, is none.
    """
    features = np.array([places[list(points)].mean(axis=0) for points in FEATURES])
    away = np.linalg.norm(features - detection.points[: len(FEATURES)], axis=1)
    return bool(away.max() <= FARTHEST * (detection.box[3] - detection.box[1]))


def upright(detection: Detection) -> Square:
    """The square about a face in which the line through its eyes is level."""
    left, top, right, bottom = detection.box
    across, down = detection.points[1] - detection.points[0]
    side = REGION_FACES * max(right - left, bottom - top)
    return Square((left + right) / 2, (top + bottom) / 2, side, float(np.arctan2(down, across)))
