"""Room beside the sitter that a line of text fits into and can be read on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from eyeline.measuring import srgb
from eyeline.measuring.calm import WORST_SHARE
from eyeline.measuring.framing import COPY_SPACE_SHARE
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject
from eyeline.terms.rectangle import Rectangle


def text_contrast(picture: Picture, area: Rectangle) -> float:
    """Contrast ratio of the better of black and white text on `area`, at its worst pixel decile.

    The worst decile, not the mean: text on an area half black and half white is read on neither.
    """
    rows, columns = picture.reduced.shape[:2]
    inside = picture.reduced[
        int(area.top * rows) : int(np.ceil(area.bottom * rows)),
        int(area.left * columns) : int(np.ceil(area.right * columns)),
    ]
    dark, bright = np.percentile(srgb.luminance(inside), (100 * WORST_SHARE, 100 - 100 * WORST_SHARE))
    return float(max(srgb.contrast_ratio(dark, 0.0), srgb.contrast_ratio(bright, 1.0)))


def _copy_space(subject: Subject) -> Sequence[Measurement]:
    points = subject.points
    if points is None:
        return [Measurement(each.name, None, "no sitter was found") for each in MEASURE.quantities]
    sides: dict[str, list[Rectangle]] = {"left": [], "right": []}
    for calm in points.calm:
        side = "left" if calm.left + calm.width / 2 < points.eye_x else "right"
        sides[side].append(calm)
    shares = {
        side: max((each.width * each.height for each in found), default=0.0) for side, found in sides.items()
    }
    enough = [side for side, share in shares.items() if share >= COPY_SPACE_SHARE]
    word = "both" if len(enough) == 2 else enough[0] if enough else "none"
    best = max(points.calm, key=lambda each: each.width * each.height, default=None)
    contrast = (
        Measurement("copy_space_contrast", None, "there is no calm rectangle beside the sitter")
        if best is None
        else Measurement("copy_space_contrast", text_contrast(subject.picture, best))
    )
    return [
        Measurement("copy_space", word),
        Measurement("copy_space_left", shares["left"]),
        Measurement("copy_space_right", shares["right"]),
        contrast,
    ]


MEASURE = Measure(
    quantities=(
        Quantity(
            "copy_space",
            "word",
            "side with a calm rectangle of at least 12 % of the frame that text can be read on",
            words=("left", "right", "both", "none"),
        ),
        Quantity("copy_space_left", "fraction of frame area", "largest calm rectangle left of the sitter"),
        Quantity("copy_space_right", "fraction of frame area", "largest calm rectangle right of the sitter"),
        Quantity(
            "copy_space_contrast",
            "WCAG contrast ratio",
            "of the better of black or white text on the largest calm rectangle, worst pixel decile",
        ),
    ),
    function=_copy_space,
    source="WCAG 2.2, success criterion 1.4.3; largest rectangle under a histogram",
)
