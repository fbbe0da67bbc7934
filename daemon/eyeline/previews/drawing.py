"""From a decoded picture to its small versions as JPEG files: upright, sRGB, without any metadata."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

import numpy as np
import simplejpeg
from numpy.typing import NDArray

from eyeline.pixels.halved import halved
from eyeline.terms.frame import Picture
from eyeline.terms.points import Points


class Kind(StrEnum):
    """A small version: to look through many, to look at one, to compare the sharpness of eyes."""

    SMALL = "small"
    LARGE = "large"
    EYES = "eyes"


LONGEST_SMALL_PX = 800
"""Long side below which a picture is not halved any more for `small`: it ends between 400 and 800 px, enough
for 34 mm of print at 300 dots an inch. Halving takes a tenth of the time of any other reduction."""

EYES_WIDTH, EYES_HEIGHT = 2.0, 0.7
"""Size of the strip about both eyes in distances between the pupils: lids and brows are 0.75 of it from the
midpoint to the outer corner (face widths of ANSUR II)."""

LARGEST_EYES_PX = (1600, 600)
"""Width and height at most. Beyond it the strip is cut, never made smaller: it is for judging sharpness."""

LEAST_EYES_PX = 8
"""A strip smaller than one block of a JPEG shows nothing."""

QUALITY = {Kind.SMALL: 82, Kind.LARGE: 85, Kind.EYES: 90}
"""Of libjpeg's scale, where artefacts are not seen at arm's length; finer where sharpness is judged (common
practice)."""


def drawn(picture: Picture, points: Points | None) -> Mapping[Kind, bytes]:
    """The small versions of `picture` as JPEG; `EYES` only where `points` tell where they are.

    An untagged JPEG is sRGB by CSS Color 4, section 'tagged and untagged images'.
    """
    middle = np.asarray(picture.middle if picture.middle is not None else picture.rgb[:, :])
    found = {
        Kind.SMALL: _encoded(_small(picture.reduced), Kind.SMALL),
        Kind.LARGE: _encoded(middle, Kind.LARGE),
    }
    eyes = None if points is None else eyes_window(points, picture.width, picture.height)
    if eyes is not None:
        left, top, right, bottom = eyes
        found[Kind.EYES] = _encoded(picture.rgb[top:bottom, left:right], Kind.EYES)
    return found


def eyes_window(points: Points, width_px: int, height_px: int) -> tuple[int, int, int, int] | None:
    """Left, top, right, bottom in pixels of the strip about both eyes of a picture of that size.

    Upright, however the head leans; cut to the frame and to `LARGEST_EYES_PX`. None where nothing is left.
    """
    across = abs(points.pupil_right[0] - points.pupil_left[0]) * width_px
    down = abs(points.pupil_right[1] - points.pupil_left[1]) * height_px
    apart = float(np.hypot(across, down))
    half_width = min(across / 2 + apart * (EYES_WIDTH - 1) / 2, LARGEST_EYES_PX[0] / 2)
    half_height = min(down / 2 + apart * EYES_HEIGHT / 2, LARGEST_EYES_PX[1] / 2)
    x, y = points.eye_x * width_px, points.eye_y * height_px
    left, right = max(0, round(x - half_width)), min(width_px, round(x + half_width))
    top, bottom = max(0, round(y - half_height)), min(height_px, round(y + half_height))
    return (left, top, right, bottom) if min(right - left, bottom - top) >= LEAST_EYES_PX else None


def _small(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    while max(rgb.shape[:2]) >= LONGEST_SMALL_PX and min(rgb.shape[:2]) > 1:
        rgb = halved(rgb)
    return rgb


def _encoded(rgb: NDArray[np.uint8], kind: Kind) -> bytes:
    contiguous = np.ascontiguousarray(rgb)
    return bytes(simplejpeg.encode_jpeg(contiguous, QUALITY[kind], "RGB", "420", fastdct=True))
