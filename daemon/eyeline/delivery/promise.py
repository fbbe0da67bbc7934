"""What a delivered file is promised to be, and whether the file as measured again keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from eyeline.measuring.framing import framing
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

EYE_LINE_TOLERANCE = 0.005
"""Fraction of the height: half a percent."""

HEAD_HEIGHT_TOLERANCE = 0.02
"""Fraction of the height: the crown is found within 1.9 % in 95 of 100 portraits (docs/accuracy.md)."""

SOFTER = 1.2
SOFTER_BY_PX = 0.4
"""How much softer than promised an eye may be measured: as well as blur is measured (docs/accuracy.md)."""

RESAMPLING_PX = 0.5
"""Sigma that resampling leaves: a Lanczos kernel passes half of the contrast near half a cycle a pixel, and
a Gaussian of this width some 0.3 there."""


@dataclass(frozen=True, slots=True)
class Promise:
    """Framing of the crop by the points of the frame; None what cannot be told. `eye_blur_px`: in pixels of
    the file that is delivered."""

    eye_line: float | None
    head_height: float | None
    eye_blur_px: float | None


def promise(
    points: Points | None, area: Rectangle, frame: tuple[int, int], blur_px: float | None, scale: float
) -> Promise:
    """What a crop to `area` of a `frame` of so many pixels, scaled by `scale`, has to show.

    `blur_px`: Gaussian sigma at the sharper eye, in pixels of the frame.
    """
    blur = None if blur_px is None else float(np.hypot(blur_px * scale, RESAMPLING_PX))
    if points is None:
        return Promise(None, None, blur)
    window = np.array([[area.left, area.top, area.width, area.height]])
    measured = framing(points, window, *frame)
    return Promise(_number(measured["eye_line"][0]), _number(measured["head_height"][0]), blur)


def broken(promised: Promise, measured: Mapping[str, float | None]) -> list[str]:
    """What the file as measured does not keep, a sentence each; what cannot be measured is no breach."""
    found = []
    for name, wanted, tolerance in (
        ("eye_line", promised.eye_line, EYE_LINE_TOLERANCE),
        ("head_height", promised.head_height, HEAD_HEIGHT_TOLERANCE),
    ):
        value = measured.get(name)
        if wanted is not None and value is not None and abs(value - wanted) > tolerance:
            what = name.replace("_", " ")
            found.append(f"the {what} is {value:.1%} of the height, promised were {wanted:.1%}")
    blur, most = measured.get("eye_blur_px"), promised.eye_blur_px
    if blur is not None and most is not None and blur > max(most * SOFTER, most + SOFTER_BY_PX):
        found.append(f"the eye is softer than promised: {blur:.1f} px, not {most:.1f}")
    return found


def _number(value: float) -> float | None:
    return None if np.isnan(value) else float(value)
