"""A guest measure for eyeline: is the picture black and white (or toned in one hue)?"""

from collections.abc import Sequence

import cv2
import numpy as np

from eyeline.terms.measurement import FrameMeasure, FrameSubject, Measurement, Quantity

LEAST_CHROMA_SPREAD = 3.0
"""CIELAB units: spread of a* and b* about their median under which no second hue is seen. JPEG
compression of a grey picture alone leaves well under 1."""


def monochrome(subject: FrameSubject) -> Sequence[Measurement]:
    """Say whether the picture holds only one hue.

    Toning (sepia, selenium) moves a* and b* as a whole and leaves no spread about their median, so a
    toned picture counts as monochrome too. Source: CIE 15 (CIELAB); the limit is this measure's own.
    """
    lab = cv2.cvtColor(subject.picture.reduced.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    chroma = lab[..., 1:].reshape(-1, 2)
    spread = float(np.percentile(np.abs(chroma - np.median(chroma, axis=0)), 95))
    return [Measurement("monochrome", spread < LEAST_CHROMA_SPREAD)]


MEASURE = FrameMeasure(
    quantities=(Quantity("monochrome", "yes or no", "the picture holds only one hue"),),
    function=monochrome,
    source="CIE 15 (CIELAB)",
)
