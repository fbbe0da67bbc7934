"""An eye at the full size of the file."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.pupils import CENTRES, pupils
from eyeline.measuring.skin import EYES
from eyeline.pixels.picked import picked
from eyeline.terms.frame import Pixels
from eyeline.terms.points import LEFT_EYE, RIGHT_EYE

WIDTH_RADII = 2.2
"""Half the width, in iris radii, of the ellipse about the iris that holds lids and lashes: an eye is
30 mm from corner to corner, an iris 11.7 mm."""

HEIGHT_RADII = 1.6
"""Half its height: lids are about 5 mm from the middle of an open eye, lashes reach beyond."""

CORNERS = ((33, 133), (263, 362))
"""Corners of the eyes in mediapipe's mesh, in the order of `pupils.CENTRES`."""

BLOWN_OUT = 245
"""Luma from which a highlight is cut off: JPEG spreads white over some levels below 255."""

LEAST_FLANK_PX, FLANK_RADII = 2.0, 0.12
"""Reach of a highlight's flank beyond its white part, in pixels and in iris radii, the larger counts."""

MOST_BLOWN_OUT = 0.5
"""Share of an eye above which it is overexposed rather than highlighted."""

INPAINT_REACH_PX = 3
"""Neighbourhood from which a highlight is painted over (Telea, Journal of Graphics Tools 9(1), 2004)."""

THINNED_RADIUS_PX = 24.0
"""Iris radius in pixels that is enough for shares of an eye: some 5000 pixels lie between its lids."""

MARGIN_PX = 12
"""Pixels about the ellipse that blurring by the coarsest scale draws upon."""


@dataclass(frozen=True, slots=True, eq=False)
class EyeRegion:
    """`rgb` uint8 (m, n, 3) about one eye, every `step`-th pixel of every `step`-th row; `left`, `top`: its
    corner in the picture; `centre` (x, y) and `radius` of the iris, and `width` of the eye from corner to
    corner, in pixels of `rgb`.
    """

    rgb: NDArray[np.uint8]
    left: int
    top: int
    centre: tuple[float, float]
    radius: float
    width: float
    step: int = 1

    @property
    def grey(self) -> NDArray[np.uint8]:
        """Luma (m, n), uint8."""
        return np.asarray(cv2.cvtColor(self.rgb, cv2.COLOR_RGB2GRAY))

    @property
    def mask(self) -> NDArray[np.bool_]:
        """The ellipse about the iris, (m, n)."""
        return ellipse(self.rgb.shape[:2], self.centre, self.radius)


def ellipse(shape: tuple[int, ...], centre: tuple[float, float], radius: float) -> NDArray[np.bool_]:
    """What of an array of `shape` (m, n) is within the ellipse about an iris at `centre` (x, y); the middle
    of the first pixel is at 0.5, 0.5.
    """
    rows, columns = np.ogrid[: shape[0], : shape[1]]
    across = (columns + 0.5 - centre[0]) / (WIDTH_RADII * radius)
    down = (rows + 0.5 - centre[1]) / (HEIGHT_RADII * radius)
    return np.asarray(across**2 < 1.0 - down**2)


def eye_regions(
    rgb: Pixels, landmarks: NDArray[np.float32], covered: Container[str] = ()
) -> tuple[EyeRegion | None, EyeRegion | None]:
    """The eye on the frame's left and right; None where its iris is outside the picture or it is one of the
    `covered` parts of the face.
    """
    irises = pupils(landmarks)
    widths = {
        float(landmarks[centre, 0]): float(np.hypot(*(landmarks[inner, :2] - landmarks[outer, :2])))
        for centre, (outer, inner) in zip(CENTRES, CORNERS, strict=True)
    }
    left = _region(rgb, irises.left, irises.left_radius_px, widths[min(widths)])
    right = _region(rgb, irises.right, irises.right_radius_px, widths[max(widths)])
    return (None if LEFT_EYE in covered else left, None if RIGHT_EYE in covered else right)


def thinned(eye: EyeRegion) -> EyeRegion:
    """`eye` with its iris at about `THINNED_RADIUS_PX`, where it is larger, for what needs no fine detail.

    Pixels are picked, not averaged: averaging would hide white ones.
    """
    step = int(eye.radius / THINNED_RADIUS_PX)
    if step <= 1:
        return eye
    x, y = ((value - 0.5) / step + 0.5 for value in eye.centre)
    rgb = picked(eye.rgb, step)
    return EyeRegion(rgb, eye.left, eye.top, (x, y), eye.radius / step, eye.width / step, step)


def opening_mask(eye: EyeRegion, landmarks: NDArray[np.float32]) -> NDArray[np.bool_]:
    """What lies between the lids of `eye`, (m, n): whichever of the two lid contours is about its iris."""
    mask = np.zeros(eye.rgb.shape[:2], np.uint8)
    contours = [(landmarks[list(lids), :2] - (eye.left, eye.top)) / eye.step for lids in EYES]
    nearest = min(contours, key=lambda points: float(np.hypot(*(points.mean(axis=0) - eye.centre))))
    cv2.fillPoly(mask, [np.rint(cv2.convexHull(nearest.astype(np.float32))).astype(np.int32)], (1.0,))
    return mask.astype(bool)


def _region(rgb: Pixels, centre: tuple[float, float], radius: float, width: float) -> EyeRegion | None:
    x, y = centre
    if not (0 <= x < rgb.shape[1] and 0 <= y < rgb.shape[0]):
        return None
    half_width, half_height = WIDTH_RADII * radius + MARGIN_PX, HEIGHT_RADII * radius + MARGIN_PX
    left, top = max(0, int(x - half_width)), max(0, int(y - half_height))
    right, bottom = int(x + half_width) + 1, int(y + half_height) + 1
    return EyeRegion(rgb[top:bottom, left:right], left, top, (x - left, y - top), radius, width)


def without_highlights(
    grey: NDArray[np.uint8], mask: NDArray[np.bool_], radius: float
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """`grey` (m, n) with blown-out highlights painted over, and `mask` (m, n) less their places.

    A highlight many times brighter than white is cut off far down the flank of its blur: however soft the
    eye is, its edge in the file is a hard one. Where most of the eye is white all is left as it is.
    """
    if grey.size == 0 or int(grey.max()) < BLOWN_OUT:
        return grey.astype(np.float32), mask
    zone = np.asarray(cv2.threshold(grey, BLOWN_OUT - 1, 1, cv2.THRESH_BINARY)[1], np.uint8)
    side = 2 * round(max(LEAST_FLANK_PX, FLANK_RADII * radius)) + 1
    zone = np.asarray(cv2.dilate(zone, np.ones((side, side), np.uint8)), np.uint8)
    left = mask & (zone == 0)
    if np.count_nonzero(left) < (1 - MOST_BLOWN_OUT) * np.count_nonzero(mask):
        return grey.astype(np.float32), mask
    return _painted_over(grey, zone).astype(np.float32), left


def _painted_over(grey: NDArray[np.uint8], zone: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """`grey` (m, n) with what is not 0 in `zone` (m, n) painted over from what is about it."""
    x, y, width, height = cv2.boundingRect(zone)
    # OpenCV takes as long for what it only looks through as for what it paints.
    reach = 2 * INPAINT_REACH_PX
    about = (
        slice(max(0, y - reach), y + height + reach),
        slice(max(0, x - reach), x + width + reach),
    )
    painted = grey.copy()
    painted[about] = cv2.inpaint(grey[about], zone[about], INPAINT_REACH_PX, cv2.INPAINT_TELEA)
    return painted
