"""The skin of a face: which pixels of the full-size picture light is judged on."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.pixels.picked import picked
from eyeline.terms.frame import Pixels

OVAL = (
    *(10, 338, 297, 332, 284, 251, 389, 356, 454, 323, 361, 288, 397, 365, 379, 378, 400, 377),
    *(152, 148, 176, 149, 150, 136, 172, 58, 132, 93, 234, 127, 162, 21, 54, 103, 67, 109),
)
"""Outline of the face in mediapipe's mesh."""

EYES = (
    (33, 7, 163, 144, 145, 153, 154, 155, 133, 173, 157, 158, 159, 160, 161, 246),
    (263, 249, 390, 373, 374, 380, 381, 382, 362, 398, 384, 385, 386, 387, 388, 466),
)
"""Lid edges of the eye on the frame's left, then right, for a face toward the camera."""

NOT_SKIN = (
    *EYES,
    (70, 63, 105, 66, 107, 55, 65, 52, 53, 46),
    (300, 293, 334, 296, 336, 285, 295, 282, 283, 276),
    (61, 146, 91, 181, 84, 17, 314, 405, 321, 375, 291, 409, 270, 269, 267, 0, 37, 39, 40, 185),
)
"""Eyes, brows and lips."""

SAMPLED_ROWS = 256
"""A face is sampled on about this many rows: some 30 000 pixels, so that a share of 1 % is known to
0.06 % (binomial), whatever the size of the file."""

LEAST_PIXELS = 400
"""Skin pixels below which a share of 1 % is four pixels or less."""


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """Sampled pixels: `rgb` uint8 (n, 3), every `stride`-th pixel of every `stride`-th row."""

    rgb: NDArray[np.uint8]
    stride: int


def face_skin(rgb: Pixels, landmarks: NDArray[np.float32]) -> Skin:
    """Skin pixels of the face with `landmarks` (478, 3) in the upright picture `rgb` (M, N, 3).

    Pixels are picked, not averaged: averaging would hide clipped ones. What lies outside the picture
    is left out, so that the result may be empty.
    """
    outline = landmarks[list(OVAL), :2]
    left, top = np.floor(np.maximum(outline.min(axis=0), 0)).astype(int)
    right, bottom = np.ceil(outline.max(axis=0)).astype(int) + 1
    stride = max(1, ceil((bottom - top) / SAMPLED_ROWS))
    sampled = picked(rgb[top : max(bottom, top), left : max(right, left)], stride)
    if sampled.size == 0:
        return Skin(np.empty((0, 3), np.uint8), stride)
    mask = np.zeros(sampled.shape[:2], np.uint8)
    origin = np.array([left, top], np.float32)
    cv2.fillPoly(mask, [_corners(cv2.convexHull(outline), origin, stride)], (1.0,))
    for part in NOT_SKIN:
        cv2.fillPoly(mask, [_corners(cv2.convexHull(landmarks[list(part), :2]), origin, stride)], (0.0,))
    return Skin(sampled.reshape(-1, 3).take(np.flatnonzero(mask), axis=0), stride)


def _corners(points: Any, origin: NDArray[np.float32], stride: int) -> NDArray[np.int32]:
    return np.asarray(np.rint((np.asarray(points).reshape(-1, 2) - origin) / stride), np.int32)
