"""Square crops of a picture, padded where they reach over its edge, for the models to look at."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.terms.frame import Picture


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """`rgb` uint8 (n, n, 3) shows the square with its top left corner at (`left`, `top`), in pixels of
    the full-size picture, and `side` pixels long there; beyond the picture it is padded by its edge.
    """

    rgb: NDArray[np.uint8]
    left: float
    top: float
    side: float

    @property
    def scale(self) -> float:
        """Full-size pixels per patch pixel."""
        return self.side / float(self.rgb.shape[0])


def square(picture: Picture, centre: tuple[float, float], side: float, side_px: int) -> Patch:
    """Cut the square of `side` full-size pixels about `centre`, resized to `side_px` pixels.

    Taken from the reduced picture where that has enough pixels, else from the full one. The models look at a
    square and at its mirror image, so it is cut once.
    """
    return picture.once((square, centre, side, side_px), lambda: _cut(picture, centre, side, side_px))


def mirrored(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """`rgb` (M, N, 3) with left and right exchanged, ten times as fast as NumPy copies it."""
    return np.asarray(cv2.flip(rgb, 1), np.uint8)


def _cut(picture: Picture, centre: tuple[float, float], side: float, side_px: int) -> Patch:
    reduction = picture.reduced.shape[0] / picture.rgb.shape[0]
    source = picture.reduced if side * reduction >= side_px else picture.rgb
    scale = source.shape[0] / picture.rgb.shape[0]
    left, top = centre[0] - side / 2, centre[1] - side / 2
    x0, y0 = round(left * scale), round(top * scale)
    n = max(1, round(side * scale))
    height, width = source.shape[:2]
    inside = source[max(0, y0) : max(0, min(height, y0 + n)), max(0, x0) : max(0, min(width, x0 + n))]
    if inside.size == 0:
        raise ValueError("the square lies wholly outside the picture")
    above, left_of, below, right_of = (
        max(0, -y0),
        max(0, -x0),
        max(0, y0 + n - height),
        max(0, x0 + n - width),
    )
    padded = inside
    if above or left_of or below or right_of:
        padded = np.asarray(
            cv2.copyMakeBorder(inside, above, below, left_of, right_of, cv2.BORDER_REPLICATE), np.uint8
        )
    resized = cv2.resize(
        padded, (side_px, side_px), interpolation=cv2.INTER_AREA if n > side_px else cv2.INTER_LINEAR
    )
    return Patch(np.ascontiguousarray(resized), x0 / scale, y0 / scale, n / scale)
