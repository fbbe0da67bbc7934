"""How bright the brightest part of the frame is: low where too little light came in, whatever the skin."""

from __future__ import annotations

from collections.abc import Sequence

from eyeline.measuring.quantile import quantile
from eyeline.measuring.srgb import luminance
from eyeline.pixels.picked import picked
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

WHITE_SHARE = 0.005
"""Share of the frame that may be brighter than its white: a catchlight or a lamp is no white."""

STRIDE = 4
"""Every so many rows and columns of the reduced picture are looked at: some 40 000 pixels, so that the
share is known to 0.04 % (binomial)."""


def frame_white(picture: Picture) -> float:
    """Relative luminance, 0 to 1, that `WHITE_SHARE` of the frame exceeds."""
    light = luminance(picked(picture.reduced, STRIDE)).ravel()
    return quantile(light, 1 - WHITE_SHARE)


def _frame_white(subject: Subject) -> Sequence[Measurement]:
    return [Measurement("frame_white", frame_white(subject.picture))]


MEASURE = SitterMeasure(
    quantities=(
        Quantity(
            "frame_white", "relative luminance 0 to 1", "what 0.5 % of the whole frame, not the skin, exceed"
        ),
    ),
    function=_frame_white,
    source="relative luminance of WCAG 2.2; the share: common practice",
)
