"""How sharp the eyes are."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.blur_network import Blur, blur_of
from eyeline.measuring.edges import LEAST_STEP, slope_energy
from eyeline.measuring.eye_region import EyeRegion, ellipse, eye_regions, without_highlights
from eyeline.measuring.motion_blur import QUANTITIES, motion_blur
from eyeline.pixels.halved import halved
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

LEAST_RADIUS_PX = 3.0
"""Iris radius below which lids and lashes are closer than any blur that could be told; the smallest in
training."""

MOST_RADIUS_PX = 70.0
"""Iris radius above which an eye is looked at in half size; the largest in training. Half a pixel is then
0.4 % of the iris, far below what a print shows."""

TURNED_AWAY = 0.5
"""Width of an eye against the other's below which it is hidden by the nose or the temple."""

DIFFERENCE_ERROR = 0.2
"""Error of the log of the ratio between two eyes: standard deviation over frames in which both are equally
sharp (rendered crowd)."""

MOST_SIGMA_RADII = 0.6
"""Sigma in iris radii beyond which nothing of an eye is left to tell a blur from; the largest in training
and what it can be told by."""


PIXELS_SIGMA_PX, PIXELS_SIGMA_IRIS = 0.75, 0.045
"""A sigma below the first, in pixels, is as sharp as files are; where that is above the second, in iris
diameters, the file cannot show whether the eye itself was sharper."""


@dataclass(frozen=True, slots=True)
class EyeBlur:
    """Blur of one eye in pixels of the full-size file, and the iris `radius` there."""

    blur: Blur
    radius: float


def eye_blur(eye: EyeRegion) -> EyeBlur | None:
    """Blur at one eye; None where it has no contrast to tell it by."""
    grey, centre, radius, size = eye.grey, eye.centre, eye.radius, 1.0
    while radius > MOST_RADIUS_PX:
        grey = halved(grey)
        centre = (centre[0] / 2, centre[1] / 2)
        radius, size = radius / 2, size * 2
    mask = ellipse(grey.shape, centre, radius)
    if not mask.any() or int(np.ptp(grey[mask])) < LEAST_STEP:
        return None
    blur = blur_of(slope_energy(*without_highlights(grey, mask, radius)), radius)
    sigma = size * min(blur.sigma_px, MOST_SIGMA_RADII * radius)
    return EyeBlur(Blur(sigma, blur.along_rows, blur.along_falling), eye.radius)


def eye_blurs(
    picture: Picture, landmarks: NDArray[np.float32], covered: Container[str] = ()
) -> list[EyeBlur]:
    """Blur of each eye that can be measured and is not `covered`: none, one or two."""
    regions = eye_regions(picture.rgb, landmarks, covered)
    widest = max((region.width for region in regions if region is not None), default=0.0)
    usable = [
        region
        for region in regions
        if region is not None and region.radius >= LEAST_RADIUS_PX and region.width >= TURNED_AWAY * widest
    ]
    return [blur for region in usable if (blur := eye_blur(region)) is not None]


def sharper_and_softer(one: float, other: float) -> tuple[float, float]:
    """Sigma of the sharper and of the other eye, from the two estimates.

    A difference within the error of the estimate is mostly error: the log of the ratio d shrinks to
    d³ / (d² + e²), e = `DIFFERENCE_ERROR`, about the geometric mean.
    """
    middle, difference = sqrt(one * other), abs(log(one / other))
    half = 0.5 * difference**3 / (difference**2 + DIFFERENCE_ERROR**2)
    return middle * exp(-half), middle * exp(half)


def measure_eye_blur(subject: Subject) -> Sequence[Measurement]:
    """Sigma at the sharper and at the other eye, the sharper one in iris diameters, and the streak."""
    near, far, relative = (quantity.name for quantity in MEASURE.quantities[:3])
    eyes = eye_blurs(subject.picture, subject.sitter.landmarks, subject.sitter.points.covered)
    if not eyes:
        reason = "the eyes are too small, too flat, covered or outside the picture"
        return [Measurement(quantity.name, None, reason) for quantity in MEASURE.quantities]
    diameter = 2 * max(eye.radius for eye in eyes)
    if len(eyes) == 1:
        sigma = eyes[0].blur.sigma_px
        other = Measurement(far, None, "only one eye can be measured")
    else:
        sigma, softer = sharper_and_softer(*(eye.blur.sigma_px for eye in eyes))
        other = Measurement(far, softer)
    if sigma < PIXELS_SIGMA_PX and sigma / diameter > PIXELS_SIGMA_IRIS:
        in_irises = Measurement(relative, None, "the eyes are so small that pixels, not focus, limit them")
    else:
        in_irises = Measurement(relative, sigma / diameter)
    return [Measurement(near, sigma), other, in_irises, *motion_blur([eye.blur for eye in eyes])]


MEASURE = SitterMeasure(
    quantities=(
        Quantity("eye_blur_px", "pixels of the full-size file", "Gaussian sigma at the sharper eye"),
        Quantity("eye_blur_far_px", "pixels of the full-size file", "the same at the other eye"),
        Quantity("eye_blur_iris", "fraction of iris diameter", "blur that does not depend on resolution"),
        *QUANTITIES,
    ),
    function=measure_eye_blur,
    source="slopes under known re-blur (after Zhuo & Sim, Pattern Recognition 44, 2011), read by a network "
    "trained on known blurs (training/train_blur.py)",
)
