"""Whether a light shines back from an eye."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_region import EyeRegion, eye_regions, opening_mask, thinned
from eyeline.measuring.srgb import contrast_ratio, luminance
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

IRIS_SHARE = 0.75
"""Part of the iris radius that is searched: lids, and the white of the eye where the mesh is a little
off, lie beyond."""

WIDEST_RADII = 0.8
"""Width in iris radii of what passes for a point of light: a softbox as large as it is far away shows in
the cornea at about this size. Wider bright parts are the white of the eye."""

LEAST_CONTRAST = 1.5
"""Contrast ratio of a highlight to what is next to it, with the flare of WCAG 2.2: dark eyes and dim
frames need no more light than others."""

LEAST_RADIUS_PX = 5.0
"""Iris radius below which a highlight of a tenth of the iris is less than one pixel."""

LEAST_VISIBLE = 0.25
"""Share of the searched iris between the lids below which too little is seen."""


def highlight_contrast(light: NDArray[np.float32], visible: NDArray[np.bool_], radius: float) -> float:
    """Contrast ratio, 1 = none, of the brightest point within `visible` (m, n) to what surrounds it.

    `light` (m, n) is relative luminance; the surroundings are its morphological opening by a square of
    `WIDEST_RADII` iris radii, which keeps all that is wider.
    """
    side = _widest_px(radius)
    square = cv2.getStructuringElement(cv2.MORPH_RECT, (side, side))
    surroundings = cv2.morphologyEx(light, cv2.MORPH_OPEN, square, borderType=cv2.BORDER_REPLICATE)
    return float(contrast_ratio(light[visible], surroundings[visible]).max())


def _widest_px(radius: float) -> int:
    """Side of the square of `WIDEST_RADII`, in whole pixels, odd."""
    return max(3, round(WIDEST_RADII * radius) | 1)


def measure_catchlight(subject: Subject) -> Sequence[Measurement]:
    """True when either eye has one."""
    name = MEASURE.quantities[0].name
    answers = []
    sitter = subject.sitter
    for eye in eye_regions(subject.picture.rgb, sitter.landmarks, sitter.points.covered):
        if eye is None or eye.radius < LEAST_RADIUS_PX:
            continue
        eye = thinned(eye)
        iris = _iris(eye)
        visible = iris & opening_mask(eye, sitter.landmarks)
        if np.count_nonzero(visible) >= LEAST_VISIBLE * np.count_nonzero(iris):
            about = _about_iris(eye)
            contrast = highlight_contrast(luminance(eye.rgb[about]), visible[about], eye.radius)
            answers.append(contrast >= LEAST_CONTRAST)
    if not answers:
        return [Measurement(name, None, "no iris is large and open enough to see")]
    return [Measurement(name, any(answers))]


def _iris(eye: EyeRegion) -> NDArray[np.bool_]:
    rows, columns = np.ogrid[: eye.rgb.shape[0], : eye.rgb.shape[1]]
    distance2 = (columns + 0.5 - eye.centre[0]) ** 2 + (rows + 0.5 - eye.centre[1]) ** 2
    return np.asarray(distance2 <= (IRIS_SHARE * eye.radius) ** 2)


def _about_iris(eye: EyeRegion) -> tuple[slice, slice]:
    """Rows and columns of `eye` that hold the part of the iris that is searched, and all that can surround a
    point of it.
    """
    reach = IRIS_SHARE * eye.radius + _widest_px(eye.radius) + 1
    x, y = eye.centre
    return (
        slice(max(0, int(y - reach)), int(y + reach) + 1),
        slice(max(0, int(x - reach)), int(x + reach) + 1),
    )


MEASURE = SitterMeasure(
    quantities=(Quantity("catchlight", "yes or no", "a specular highlight on an iris"),),
    function=measure_catchlight,
    source="common practice; contrast ratio of WCAG 2.2",
)
