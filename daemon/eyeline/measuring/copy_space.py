"""Room beside the sitter that a line of text fits into and can be read on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from eyeline.measuring import srgb
from eyeline.measuring.calm import WORST_SHARE
from eyeline.measuring.framing import COPY_SPACES, LEAST_LINE, WHOLE, framing
from eyeline.measuring.quantile import quantile
from eyeline.pixels.picked import picked
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject
from eyeline.terms.rectangle import Rectangle

PIXELS_READ = 1 << 14
"""Pixels that a decile is told from, at the least: its rank is then right within 0.5 % (twice the standard
deviation of a share of a tenth)."""


def text_contrast(picture: Picture, area: Rectangle) -> float:
    """Contrast ratio of the better of black and white text on `area`, at its worst pixel decile.

    The worst decile, not the mean: text on an area half black and half white is read on neither.
    """
    rows, columns = picture.reduced.shape[:2]
    inside = picture.reduced[
        int(area.top * rows) : int(np.ceil(area.bottom * rows)),
        int(area.left * columns) : int(np.ceil(area.right * columns)),
    ]
    step = max(1, int(np.sqrt(inside.shape[0] * inside.shape[1] / PIXELS_READ)))
    light = srgb.luminance(picked(inside, step))
    dark, bright = (quantile(light.ravel(), share) for share in (WORST_SHARE, 1 - WORST_SHARE))
    return float(max(srgb.contrast_ratio(dark, 0.0), srgb.contrast_ratio(bright, 1.0)))


def _copy_space(subject: Subject) -> Sequence[Measurement]:
    points = subject.sitter.points
    found = framing(points, WHOLE, subject.frame.width, subject.frame.height)
    lines = [each for each in points.calm if each.width >= LEAST_LINE]
    best = max(lines, key=lambda each: each.width * each.height, default=None)
    contrast = (
        Measurement("copy_space_contrast", None, "there is no calm rectangle beside the sitter")
        if best is None
        else Measurement("copy_space_contrast", text_contrast(subject.picture, best))
    )
    return [
        Measurement("copy_space", COPY_SPACES[int(found["copy_space"][0])]),
        Measurement("copy_space_left", float(found["copy_space_left"][0])),
        Measurement("copy_space_right", float(found["copy_space_right"][0])),
        contrast,
    ]


MEASURE = SitterMeasure(
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
