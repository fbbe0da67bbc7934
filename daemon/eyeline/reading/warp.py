"""Cut a turned square out of a picture, in the size that a model takes, and bring points back.

The convention is mediapipe's (ImageToTensorCalculator): corners of the square go to corners of the result,
and a pixel's place is that of its top left corner.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Square:
    """A square in a picture, in its pixels: centre, side, and the angle by which it is turned, in radians,
    clockwise as seen."""

    x: float
    y: float
    side: float
    angle: float = 0.0

    def cut(self, rgb: NDArray[np.uint8], side_px: int, border: int) -> NDArray[np.uint8]:
        """What `rgb` shows in the square, uint8 (side_px, side_px, 3); `border`: OpenCV's, beyond the
        picture."""
        corners = np.array([[0, side_px], [0, 0], [side_px, 0], [side_px, side_px]], np.float32)
        there = cv2.boxPoints(((self.x, self.y), (self.side, self.side), np.degrees(self.angle)))
        matrix = cv2.getPerspectiveTransform(there, corners)
        cut = cv2.warpPerspective(rgb, matrix, (side_px, side_px), flags=cv2.INTER_LINEAR, borderMode=border)
        return np.asarray(cut, np.uint8)

    def out_of(self, points: NDArray[np.floating]) -> NDArray[np.float64]:
        """Points (n, 2) in sides of the square, from its top left corner, as pixels of the picture."""
        cosine, sine = np.cos(self.angle), np.sin(self.angle)
        turn = np.array([[cosine, sine], [-sine, cosine]]) * self.side
        return np.asarray((points - 0.5) @ turn + [self.x, self.y])
