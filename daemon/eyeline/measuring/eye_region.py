"""An eye at the full size of the file."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.pupils import CENTRES, pupils

WIDTH_RADII = 2.2
"""Half the width, in iris radii, of the ellipse about the iris that holds lids and lashes: an eye is
30 mm from corner to corner, an iris 11.7 mm."""

HEIGHT_RADII = 1.6
"""Half its height: lids are about 5 mm from the middle of an open eye, lashes reach beyond."""

CORNERS = ((33, 133), (263, 362))
"""Corners of the eyes in mediapipe's mesh, in the order of `pupils.CENTRES`."""

MARGIN_PX = 12
"""Pixels about the ellipse that blurring by the coarsest scale draws upon."""


@dataclass(frozen=True, slots=True, eq=False)
class EyeRegion:
    """`rgb` uint8 (m, n, 3) about one eye; `left`, `top`: its corner in the picture; `centre` (x, y) and
    `radius` of the iris, and `width` of the eye from corner to corner, in pixels.
    """

    rgb: NDArray[np.uint8]
    left: int
    top: int
    centre: tuple[float, float]
    radius: float
    width: float

    @property
    def grey(self) -> NDArray[np.float32]:
        """Luma (m, n) in 8-bit levels."""
        return np.asarray(cv2.cvtColor(self.rgb, cv2.COLOR_RGB2GRAY), np.float32)

    @property
    def mask(self) -> NDArray[np.bool_]:
        """The ellipse about the iris, (m, n)."""
        return ellipse(self.rgb.shape[:2], self.centre, self.radius)


def ellipse(shape: tuple[int, ...], centre: tuple[float, float], radius: float) -> NDArray[np.bool_]:
    """What of an array of `shape` (m, n) is within the ellipse about an iris at `centre` (x, y)."""
    rows, columns = np.ogrid[: shape[0], : shape[1]]
    across = (columns - centre[0]) / (WIDTH_RADII * radius)
    down = (rows - centre[1]) / (HEIGHT_RADII * radius)
    return np.asarray(across**2 + down**2 < 1.0)


def eye_regions(
    rgb: NDArray[np.uint8], landmarks: NDArray[np.float32]
) -> tuple[EyeRegion | None, EyeRegion | None]:
    """The eye on the frame's left and right; None where its iris is outside the picture."""
    irises = pupils(landmarks)
    widths = {
        float(landmarks[centre, 0]): float(np.hypot(*(landmarks[inner, :2] - landmarks[outer, :2])))
        for centre, (outer, inner) in zip(CENTRES, CORNERS, strict=True)
    }
    return (
        _region(rgb, irises.left, irises.left_radius_px, widths[min(widths)]),
        _region(rgb, irises.right, irises.right_radius_px, widths[max(widths)]),
    )


def _region(
    rgb: NDArray[np.uint8], centre: tuple[float, float], radius: float, width: float
) -> EyeRegion | None:
    x, y = centre
    if not (0 <= x < rgb.shape[1] and 0 <= y < rgb.shape[0]):
        return None
    half_width, half_height = WIDTH_RADII * radius + MARGIN_PX, HEIGHT_RADII * radius + MARGIN_PX
    left, top = max(0, int(x - half_width)), max(0, int(y - half_height))
    right, bottom = int(x + half_width) + 1, int(y + half_height) + 1
    return EyeRegion(rgb[top:bottom, left:right], left, top, (x - left, y - top), radius, width)
