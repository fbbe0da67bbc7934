"""How bright the face is, and what of it is lost in white or black."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.quantile import quantile
from eyeline.measuring.sitter_white import sitter_white
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
    """Share of pixels (n, 3) with two channels or more at the white limit.

    One alone loses no drawing: light skin reaches the limit in red while green and blue still show relief.
    """
    return float(np.count_nonzero(_channels(rgb >= WHITE_LIMIT) >= 2) / len(rgb))


def crushed_share(rgb: NDArray[np.uint8]) -> float:
    """Share of pixels (n, 3) with all channels at the black limit: a dark skin whose blue alone is near
    zero still has its detail.
    """
    return float(np.count_nonzero(_channels(rgb <= BLACK_LIMIT) == 3) / len(rgb))


def _channels(which: NDArray[np.bool_]) -> NDArray[np.uint8]:
    """Number of channels of each pixel that are True in `which` (n, 3), (n,)."""
    return np.asarray(cv2.transform(which.view(np.uint8)[None], np.ones((1, 3)))[0], np.uint8)


def measure_face_light(subject: Subject) -> Sequence[Measurement]:
    """Median luminance of the skin, shares of it clipped and crushed and in what, the sitter's white."""
    names = [quantity.name for quantity in MEASURE.quantities]
    skin = face_skin(subject.picture.rgb, subject.sitter.landmarks).rgb
    if len(skin) < LEAST_PIXELS:
        reason = f"only {len(skin)} pixels of skin are in the picture"
        return [Measurement(name, None, reason) for name in names]
    source = IN_PREVIEW if subject.picture.is_preview else IN_FILE
    light = luminance(skin)
    values: tuple[Value, ...] = (
        quantile(light, 0.5),
        clipped_share(skin),
        crushed_share(skin),
        source,
        sitter_white(subject.picture, subject.sitter, light),
    )
    return [Measurement(name, value) for name, value in zip(names, values, strict=True)]


MEASURE = SitterMeasure(
    quantities=(
        Quantity("face_luminance", "relative luminance 0 to 1", "median over the face's skin"),
        Quantity("face_clipped", "fraction", "skin at the white limit in two channels or more"),
        Quantity("face_crushed", "fraction", "face pixels at the black limit"),
        Quantity(
            "clipping_source",
            "word",
            "what clipping was measured in: the file itself, or the preview inside a RAW",
            words=(IN_FILE, IN_PREVIEW),
        ),
        Quantity(
            "sitter_white",
            "relative luminance 0 to 1",
            "brightest of whites of the eyes, teeth, clothes and skin: low where too little light came in",
        ),
    ),
    function=measure_face_light,
    source="relative luminance of WCAG 2.2; limits: common practice",
)
