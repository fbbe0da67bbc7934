"""How bright the face is, and what of it is lost in white or black."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.skin import LEAST_PIXELS, face_skin
from eyeline.measuring.srgb import luminance
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject, Value

WHITE_LIMIT = 250
"""8-bit value from which a channel counts as clipped: JPEG spreads a blown area over some levels below
255, and 250 is 96 % of full scale in linear light, 1/16 stop below white."""

BLACK_LIMIT = 5
"""8-bit value up to which a channel counts as crushed: the mirror image of `WHITE_LIMIT`; 0.15 % in
linear light, over nine stops below white."""


IN_FILE, IN_PREVIEW = "file", "preview"
"""What clipping was measured in: the file's own picture, or the camera's rendering inside a RAW, whose
white comes before the sensor's, so that what is clipped there may still be in the RAW."""


def clipped_share(rgb: NDArray[np.uint8]) -> float:
    """Share of pixels (n, 3) with any channel at the white limit: colour is lost from the first one on."""
    red, green, blue = (rgb >= WHITE_LIMIT).T
    return float((red | green | blue).mean())


def crushed_share(rgb: NDArray[np.uint8]) -> float:
    """Share of pixels (n, 3) with all channels at the black limit: a dark skin whose blue alone is near
    zero still has its detail.
    """
    red, green, blue = (rgb <= BLACK_LIMIT).T
    return float((red & green & blue).mean())


def measure_face_light(subject: Subject) -> Sequence[Measurement]:
    """Median luminance of the skin, the shares of it that are clipped and crushed, and in what."""
    names = [quantity.name for quantity in MEASURE.quantities]
    skin = face_skin(subject.picture.rgb, subject.sitter.landmarks).rgb
    if len(skin) < LEAST_PIXELS:
        reason = f"only {len(skin)} pixels of skin are in the picture"
        return [Measurement(name, None, reason) for name in names]
    source = IN_PREVIEW if subject.picture.is_preview else IN_FILE
    values: tuple[Value, ...] = (
        float(np.median(luminance(skin))),
        clipped_share(skin),
        crushed_share(skin),
        source,
    )
    return [Measurement(name, value) for name, value in zip(names, values, strict=True)]


MEASURE = SitterMeasure(
    quantities=(
        Quantity("face_luminance", "relative luminance 0 to 1", "median over the face's skin"),
        Quantity("face_clipped", "fraction", "face pixels at the white limit"),
        Quantity("face_crushed", "fraction", "face pixels at the black limit"),
        Quantity(
            "clipping_source",
            "word",
            "what clipping was measured in: the file itself, or the preview inside a RAW",
            words=(IN_FILE, IN_PREVIEW),
        ),
    ),
    function=measure_face_light,
    source="relative luminance of WCAG 2.2; limits: common practice",
)
