"""Faces and hands by one of the detectors: letterbox, model, decoding, suppression, back into the picture.

BlazeFace (Bazarevsky et al. 2019): every anchor, a place on a regular grid, says how sure it is of a face
there and where, from itself, the face's box and six of its points lie. The palm detector (Zhang et al. 2020)
is of the same build and says seven points of a hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.reading.models import Name, answers
from eyeline.reading.suppression import once_each
from eyeline.reading.warp import Square


@dataclass(frozen=True, slots=True, eq=False)
class Detection:
    """A face or a palm in a picture, in its pixels.

    `box`: left, top, right, bottom. `points` of a face: (6, 2), the eyes, the tip of the nose, the middle of
    the mouth and the notches of the ears, the eye and ear on the frame's left first for a face toward the
    camera; of a palm: (7, 2), the wrist, the knuckles from the index to the little finger, two of the thumb.
    """

    box: tuple[float, float, float, float]
    points: NDArray[np.float64]
    score: float


@dataclass(frozen=True, slots=True)
class Detector:
    """A detector: its model, the side of its picture in pixels, and its grids: how many anchors across, and
    how many at each place."""

    model: Name
    side_px: int
    grids: tuple[tuple[int, int], ...]

    def found(self, rgb: NDArray[np.uint8], least_score: float, margin: float = 0.0) -> list[Detection]:
        """Everything that the detector is for in `rgb`, uint8 (m, n, 3), whose score is `least_score` or
        more, best first.

        `margin`: black air put round the picture, in its long sides.
        """
        whole = letterbox(rgb, margin)
        square = whole.cut(rgb, self.side_px, cv2.BORDER_CONSTANT)
        boxes, logits = answers(self.model, square[None])
        scores = 1 / (1 + np.exp(-np.clip(logits[0, :, 0].astype(np.float64), -100, 100)))
        likely = np.flatnonzero(scores >= least_score)
        points = decoded(boxes[0, likely].astype(np.float64) / self.side_px, anchors(self.grids)[likely])
        return [_detection(whole, each, score) for each, score in once_each(points, scores[likely])]


FULL_RANGE = Detector("full_range_detector", 192, ((48, 1),))
"""Finds faces down to about 5 % of the frame's height."""

SHORT_RANGE = Detector("short_range_detector", 128, ((16, 2), (8, 6)))
"""Says where in a crop that is mostly face its eyes are."""

PALM = Detector("palm_detector", 192, ((24, 2), (12, 6)))
"""Finds palms and backs of hands, near and a little farther off."""


def letterbox(rgb: NDArray[np.uint8], margin: float = 0.0) -> Square:
    """The square about the whole picture and a `margin` round it, in long sides of the picture."""
    height, width = rgb.shape[:2]
    return Square(width / 2, height / 2, (1 + 2 * margin) * max(width, height))


@cache
def anchors(grids: tuple[tuple[int, int], ...]) -> NDArray[np.float64]:
    """Places (n, 2) of the anchors in sides of the picture: row by row, the middles of the cells."""
    places = []
    for across, each in grids:
        y, x = (np.mgrid[:across, :across] + 0.5) / across
        places.append(np.repeat(np.stack([x.ravel(), y.ravel()], axis=1), each, axis=0))
    return np.concatenate(places)


def decoded(values: NDArray[np.float64], places: NDArray[np.float64]) -> NDArray[np.float64]:
    """Corners of the box and points (n, m, 2) from a detector's `values` (n, 2 m), both in sides of the
    picture.

    The values are the box's middle and size, then the points; all but the size count from the anchor.
    """
    pairs = values.reshape(len(values), values.shape[1] // 2, 2)
    middle, half = pairs[:, 0] + places, pairs[:, 1] / 2
    return np.concatenate(
        [(middle - half)[:, None], (middle + half)[:, None], pairs[:, 2:] + places[:, None]], 1
    )


def _detection(whole: Square, points: NDArray[np.float64], score: float) -> Detection:
    places = whole.out_of(points)
    left, top, right, bottom = places[:2].ravel().tolist()
    return Detection((left, top, right, bottom), places[2:], score)
