"""Small upright grey pictures of the two eyes, alike in size and side, for the eye networks to look at."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.face_shape import Posture
from eyeline.measuring.rotation import decompose
from eyeline.pixels.halved import halved
from eyeline.terms.frame import Pixels

WIDTH_PX, HEIGHT_PX = 64, 40
"""Size of a patch."""

WIDTH_CM = 4.2
"""What a patch spans on the usual face: an eye of about 2.8 cm with half as much about it."""

HALVED_FROM = 4.0
"""Pixels of the picture to one of a patch above which the picture is halved first: a Gaussian over so many
takes most of the time in a head that fills 24 megapixels, and leaves nothing of what halving folds over."""

HALVING_VARIANCE = 1 / 4
"""Variance in pixels² that the mean of two by two adds to a blur."""

RAISED_PX = 3
"""How far the middle of a patch lies above the middle of the eye's corners, in its own pixels: so high the
iris of an open eye is on average. The mesh may lie too low on dark skin, never as much too high."""

CORNERS = ((33, 133), (263, 362))
"""Outer and inner corner of the eye on the frame's left, then right."""


@dataclass(frozen=True, slots=True, eq=False)
class EyePatch:
    """`grey` float32 (HEIGHT_PX, WIDTH_PX): the iris near the middle, the head's roll undone, the inner
    corner to the right (so the eye on the frame's right is mirrored). `to_picture` (2, 3) takes patch
    coordinates (x, y; the middle of the first pixel is 0, 0) to pixels of the picture, whose first
    pixel has its middle at 0.5, 0.5. `side` is +1 for the eye on the frame's left, −1 for the mirrored.
    `roll` is the head's, in radians, clockwise as the viewer sees it.
    """

    grey: NDArray[np.float32]
    to_picture: NDArray[np.float64]
    side: int
    roll: float

    def in_picture(self, point: NDArray[np.float64]) -> NDArray[np.float64]:
        """Patch coordinates (2,) to pixels of the picture."""
        return np.asarray(self.to_picture @ [point[0], point[1], 1.0])

    def from_picture(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Pixels of the picture (n, 2) to patch coordinates (n, 2)."""
        linear, shift = self.to_picture[:, :2], self.to_picture[:, 2]
        return np.asarray((points - shift) @ np.linalg.inv(linear).T)


def eye_patches(rgb: Pixels, landmarks: NDArray[np.float32], face: Posture) -> tuple[EyePatch, EyePatch]:
    """The eye on the frame's left, then right, of the picture `rgb` (M, N, 3)."""
    roll = float(np.radians(decompose(face.rotation)[2]))
    turn = np.array([[np.cos(roll), -np.sin(roll)], [np.sin(roll), np.cos(roll)]])
    pixels = WIDTH_CM * face.scale / WIDTH_PX
    patches = []
    for side, corners in zip((1, -1), CORNERS, strict=True):
        linear = pixels * turn @ np.diag([side, 1.0])
        middle = landmarks[list(corners), :2].astype(np.float64).mean(axis=0)
        shift = middle - linear @ [(WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2 + RAISED_PX]
        to_picture = np.column_stack([linear, shift])
        patches.append(EyePatch(cut(rgb, to_picture), to_picture, side, roll))
    return patches[0], patches[1]


def cut(rgb: Pixels, to_picture: NDArray[np.float64], margin_px: int = 0) -> NDArray[np.float32]:
    """The patch at `to_picture` in grey, with `margin_px` more on every side; where it is coarser than the
    picture, pixels are averaged, not skipped.
    """
    to_picture = to_picture.copy()
    to_picture[:, 2] -= to_picture[:, :2] @ [margin_px, margin_px]
    width_px, height_px = WIDTH_PX + 2 * margin_px, HEIGHT_PX + 2 * margin_px
    corners = np.array(
        [[0, width_px - 1, 0, width_px - 1], [0, 0, height_px - 1, height_px - 1], [1, 1, 1, 1]]
    )
    seen = to_picture @ corners
    reduction = float(np.sqrt(abs(np.linalg.det(to_picture[:, :2]))))
    beyond = 2 + 2 * max(1.0, reduction)  # what the blur and halving draw upon
    height, width = rgb.shape[:2]
    left, top = (
        int(np.clip(np.floor(v.min() - beyond), 0, n - 1)) for v, n in zip(seen, (width, height), strict=True)
    )
    right, bottom = (
        int(np.clip(np.ceil(v.max() + beyond), low + 1, n))
        for v, low, n in zip(seen, (left, top), (width, height), strict=True)
    )
    grey = cv2.cvtColor(rgb[top:bottom, left:right], cv2.COLOR_RGB2GRAY).astype(np.float32)
    here = to_picture - np.array([[0, 0, left + 0.5], [0, 0, top + 0.5]])
    # A Gaussian of half the step leaves nothing finer than the patch can hold.
    variance = (0.5 * reduction) ** 2
    while reduction > HALVED_FROM and min(grey.shape) >= 2:
        grey, reduction, variance = halved(grey), reduction / 2, (variance - HALVING_VARIANCE) / 4
        here = here / 2 - np.array([[0, 0, 0.25], [0, 0, 0.25]])
    if reduction > 1:
        grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), sqrt(variance)), np.float32)
    return np.asarray(
        cv2.warpAffine(
            grey,
            here,
            (width_px, height_px),
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
            borderMode=cv2.BORDER_REPLICATE,
        ),
        np.float32,
    )
