"""Hands about a face, by the palm detector: asked for only where something may stand before the face."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.crown import CHIN
from eyeline.measuring.pupils import CENTRES
from eyeline.reading.crop import Patch, mirrored, square
from eyeline.reading.detector import PALM
from eyeline.terms.face import Hand
from eyeline.terms.frame import Picture

SIDE_FACES = 4.2
"""Side of the square that is looked at, in distances from between the eyes to the chin: a palm before the
face fills a fifth of it, and the forearm, by which the detector knows a hand too, lies within."""

CROP_PX = 384
"""Side of that square in pixels: twice the detector's own input."""

LEAST_SCORE = 0.5
"""Score from which a palm counts (its authors' default)."""

SAME_HAND = 0.5
"""How far apart, in lengths of the palm, two looks may place a hand: two hands side by side are farther."""

WRIST, MIDDLE = 0, 2
"""Points of a palm: the wrist, and where the middle finger begins."""


def hands_about(picture: Picture, landmarks: NDArray[np.float32]) -> tuple[Hand, ...]:
    """Hands about the face with `landmarks` (478, 3; pixels of the full-size picture).

    A hand counts where the square and its mirror image both show it, in the mean of the two: a bare face that
    looks like a palm seldom does so twice, and a mirrored picture has mirrored hands by construction.
    """
    eyes, chin = landmarks[list(CENTRES), :2].mean(axis=0), landmarks[CHIN, :2]
    x, y = (eyes + chin) / 2
    patch = square(picture, (float(x), float(y)), SIDE_FACES * float(np.hypot(*(chin - eyes))), CROP_PX)
    plain = [each.points for each in PALM.found(patch.rgb, LEAST_SCORE)]
    if not plain:
        return ()
    there = [_unmirrored(each.points) for each in PALM.found(mirrored(patch.rgb), LEAST_SCORE)]
    return tuple(_hand((one + other) / 2, patch) for one in plain for other in there if _same(one, other))


def _unmirrored(points: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.column_stack([CROP_PX - points[:, 0], points[:, 1]])


def _same(one: NDArray[np.float64], other: NDArray[np.float64]) -> bool:
    apart = np.hypot(*(one[MIDDLE] - other[MIDDLE]))
    return bool(apart <= SAME_HAND * min(_palm(one), _palm(other)))


def _palm(points: NDArray[np.float64]) -> float:
    return float(np.hypot(*(points[MIDDLE] - points[WRIST])))


def _hand(points: NDArray[np.float64], patch: Patch) -> Hand:
    x, y = points[MIDDLE]
    place = patch.left + float(x) * patch.scale, patch.top + float(y) * patch.scale
    return Hand(place, _palm(points) * patch.scale)
