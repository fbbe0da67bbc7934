"""Whether a light shines back from an eye."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_region import EyeRegion, eye_regions
from eyeline.measuring.glare import opening_mask
from eyeline.measuring.srgb import luminance
from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject

IRIS_SHARE = 0.85
"""Part of the iris radius that is searched: the white of the eye beyond the rim is no highlight."""

LEAST_TIMES = 3.0
"""A highlight is at least this many times as bright as the middle of the iris, in linear light."""

LEAST_LIGHT = 0.05
"""And at least this bright, relative luminance: nothing in a black eye shines below it."""

MOST_SHARE = 0.3
"""Part of the visible iris above which the bright area is no point of light but glare or a pale iris."""

LEAST_RADIUS_PX = 5.0
"""Iris radius below which a highlight of a tenth of the iris is less than one pixel."""


def has_catchlight(light: NDArray[np.float32]) -> bool:
    """Whether the visible iris, relative luminance `light` (n,), holds a specular highlight."""
    middle = float(np.median(light))
    bright = light >= max(LEAST_LIGHT, LEAST_TIMES * middle)
    return bool(0 < bright.mean() <= MOST_SHARE)


def measure_catchlight(subject: Subject) -> Sequence[Measurement]:
    """True when either eye has one."""
    name = MEASURE.quantities[0].name
    sitter = subject.seen.sitter
    if sitter is None or sitter.landmarks is None:
        return [Measurement(name, None, "no landmarks were found in the sitter's face")]
    answers = []
    for eye in eye_regions(subject.picture.rgb, sitter.landmarks):
        if eye is None or eye.radius < LEAST_RADIUS_PX:
            continue
        visible = _iris(eye) & opening_mask(eye, sitter.landmarks)
        if visible.sum() >= 20:
            answers.append(has_catchlight(luminance(eye.rgb[visible])))
    if not answers:
        return [Measurement(name, None, "no iris is large and open enough to see")]
    return [Measurement(name, any(answers))]


def _iris(eye: EyeRegion) -> NDArray[np.bool_]:
    rows, columns = np.ogrid[: eye.rgb.shape[0], : eye.rgb.shape[1]]
    distance2 = (columns - eye.centre[0]) ** 2 + (rows - eye.centre[1]) ** 2
    return np.asarray(distance2 <= (IRIS_SHARE * eye.radius) ** 2)


MEASURE = Measure(
    quantities=(Quantity("catchlight", "yes or no", "a specular highlight on an iris"),),
    function=measure_catchlight,
    source="common practice",
)
