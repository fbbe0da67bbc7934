"""The irises: centre and radius at each eye, in pixels of the full-size picture."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot

import numpy as np
from numpy.typing import NDArray

from eyeline.terms.eyes import EyesSeen
from eyeline.terms.frame import Picture

CENTRES = (468, 473)
"""Iris centres of mediapipe's mesh; 468 lies on the frame's left for a face toward the camera."""

RIMS = ((469, 470, 471, 472), (474, 475, 476, 477))
"""Four points on the rim of each iris, in the order of `CENTRES`."""

FIRST = 468
"""The first landmark of the irises; all that follow are theirs."""

Centre = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Irises:
    """Centres (x, y) and radii, pixels of the full-size picture; left and right are the viewer's."""

    left: tuple[float, float]
    right: tuple[float, float]
    left_radius_px: float
    right_radius_px: float

    @property
    def interpupillary_px(self) -> float:
        """Distance between the two centres, pixels."""
        return hypot(self.right[0] - self.left[0], self.right[1] - self.left[1])

    @property
    def middle(self) -> tuple[float, float]:
        """The eye midpoint, (x, y) in pixels."""
        return (self.left[0] + self.right[0]) / 2, (self.left[1] + self.right[1]) / 2


def pupils(landmarks: NDArray[np.float32]) -> Irises:
    """The irises in `landmarks` (478, 3): as the mesh has them, good enough to place a patch.

    A radius is half the longer diagonal of the four rim points: foreshortening and lids make a
    diameter shorter, never longer. *Left* is the eye that lies further left in the picture.
    """
    return _irises(landmarks[FIRST:].tobytes(), landmarks.dtype.char)


@lru_cache(maxsize=4)  # most measures of one photo ask for the same few
def _irises(data: bytes, kind: str) -> Irises:
    """The irises in the landmarks from `FIRST` on, as bytes of numbers of a NumPy `kind`."""
    landmarks = np.frombuffer(data, kind).reshape(-1, 3)
    eyes = []
    for centre, rim in zip(CENTRES, RIMS, strict=True):
        points = landmarks[[point - FIRST for point in rim], :2]
        diagonals = np.hypot(*(points[:2] - points[2:]).T)
        x, y = landmarks[centre - FIRST, :2]
        eyes.append(((float(x), float(y)), float(diagonals.max() / 2)))
    (left, left_radius), (right, right_radius) = sorted(eyes)
    return Irises(left, right, left_radius, right_radius)


def refined_pupils(picture: Picture, landmarks: NDArray[np.float32], eyes: EyesSeen) -> Irises:
    """The irises of the face with `landmarks` (478, 3), placed where a look at its `eyes` has them. Where an
    eye lies outside the `picture`, what the mesh says.

    Median distance from the truth over 1,770 open eyes of rendered sitters that the networks had not seen, in
    good and bad pictures: 1.1 % of the interpupillary distance; of the mesh alone it was 2.7 %.
    """
    centres = landmarks[list(CENTRES), :2]
    if not ((centres >= 0) & (centres < (picture.width, picture.height))).all():
        return pupils(landmarks)
    return pupils(with_irises(landmarks, eyes.irises))


def with_irises(landmarks: NDArray[np.float32], centres: tuple[Centre, Centre]) -> NDArray[np.float32]:
    """`landmarks` with both irises moved to `centres`, their rims with them."""
    moved = landmarks.copy()
    for centre, rim, wanted in zip(CENTRES, RIMS, centres, strict=True):
        way = np.array(wanted, np.float32) - landmarks[centre, :2]
        moved[[centre, *rim], :2] += way
    return moved
