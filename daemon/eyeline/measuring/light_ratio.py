"""How much brighter one cheek is than the other."""

from __future__ import annotations

from collections.abc import Sequence
from math import log2

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.face_light import WHITE_LIMIT
from eyeline.measuring.pupils import pupils
from eyeline.measuring.srgb import LINEAR_OF_BYTE, LUMINANCE_WEIGHTS
from eyeline.terms.frame import Pixels
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

CHEEKS = ((36, 205), (266, 425))
"""Points on the front of the cheeks, of the frame's left and right for a face toward the camera: of
twelve pairs tried on the rendered crowd, these two come nearest to the truth."""

PATCH_INTERPUPILLARY = 0.1
"""Half the side of the patch about each point, in interpupillary distances: about 6 mm of skin."""

MOST_CLIPPED = 0.02
"""Share of a cheek at the white limit in a channel above which that channel no longer tells light."""

LEAST_LIGHT = 1e-4
"""Linear light below which 8 bits hold no ratio: a third of the first level above black."""


def light_ratio_stops(left: NDArray[np.uint8], right: NDArray[np.uint8]) -> float | None:
    """Stops by which the cheek `right` (m, 3) is brighter than `left` (n, 3), in linear light.

    Of the three channels those count, by their share of luminance, that are not clipped in either
    cheek: red blows out first in skin. None when all three are clipped or a cheek is black.
    """
    counts = [_counts(cheek) for cheek in (left, right)]
    whole = [
        channel
        for channel in range(3)
        if all(count[channel, WHITE_LIMIT:].sum() <= MOST_CLIPPED for count in counts)
    ]
    if not whole:
        return None
    weights = LUMINANCE_WEIGHTS[whole]
    dark, bright = (float(count[whole] @ LINEAR_OF_BYTE @ weights) for count in counts)
    if min(dark, bright) < LEAST_LIGHT:
        return None
    return log2(bright / dark)


def _counts(cheek: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Shares of the pixels (n, 3) of a cheek that have each value, by channel, (3, 256)."""
    found = [cv2.calcHist([cheek[None]], [channel], None, [256], [0, 256])[:, 0] for channel in range(3)]
    return np.asarray(np.stack(found) / len(cheek), np.float64)


def measure_light_ratio(subject: Subject) -> Sequence[Measurement]:
    """Mean over the pairs of cheek points."""
    name = MEASURE.quantities[0].name
    landmarks = subject.sitter.landmarks
    half = max(1.0, PATCH_INTERPUPILLARY * pupils(landmarks).interpupillary_px)
    ratios = []
    for pair in zip(*CHEEKS, strict=True):
        cheeks = [_patch(subject.picture.rgb, landmarks[point], half) for point in pair]
        if min(len(cheek) for cheek in cheeks) == 0:
            return [Measurement(name, None, "a cheek is outside the picture")]
        ratio = light_ratio_stops(*cheeks)
        if ratio is None:
            return [Measurement(name, None, "a cheek is blown out or black, so that its light is unknown")]
        ratios.append(ratio)
    return [Measurement(name, sum(ratios) / len(ratios))]


def _patch(rgb: Pixels, point: NDArray[np.float32], half: float) -> NDArray[np.uint8]:
    """Pixels (n, 3) of the square of `half` its side about `point`."""
    x, y = float(point[0]), float(point[1])
    left, top = max(0, int(x - half)), max(0, int(y - half))
    right, bottom = max(0, int(x + half) + 1), max(0, int(y + half) + 1)
    return rgb[top:bottom, left:right].reshape(-1, 3)


MEASURE = SitterMeasure(
    quantities=(
        Quantity(
            "light_ratio_stops", "stops", "key over fill between the cheeks; + = brighter on frame right"
        ),
    ),
    function=measure_light_ratio,
    source="ratio of linear light between the cheeks; sRGB: IEC 61966-2-1",
)
