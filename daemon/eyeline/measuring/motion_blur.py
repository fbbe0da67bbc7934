"""Whether the blur has a direction, as motion has and defocus has not."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees, hypot, sqrt

import numpy as np

from eyeline.measuring.blur_network import Blur
from eyeline.terms.measurement import Measurement, Quantity

LEAST_ANISOTROPY = 0.3
"""Difference over sum of the variances along and across, below which a blur counts as even. Rendered crowd,
sitters kept aside (training/train_blur.py): by one eye 8 % of even blurs reach it, and 67 % of those that are
mostly streak; by both eyes errors average out."""

TOLD_OVER_TRUE = 0.92
"""Length of a streak by the network's answers over the true one, median over the same: what is not certain
is drawn toward none."""

LEAST_STREAK_PX = 3.0
"""Streak in pixels below which resampling and JPEG make as much."""


def streak(eyes: Sequence[Blur]) -> tuple[float, float, float]:
    """Length in pixels, direction in degrees (0 to 180, 0 = along the rows, + = clockwise) and
    anisotropy (0 to 1) of the streak in `eyes`.

    A uniform streak of length L along φ adds L²/12 · cos²(θ − φ) to the variance in direction θ, so that
    along less across is L²/12.
    """
    variance = np.array([eye.sigma_px**2 for eye in eyes])
    rows = float(np.mean([eye.along_rows for eye in eyes]))
    falling = float(np.mean([eye.along_falling for eye in eyes]))
    anisotropy = hypot(rows, falling)
    length = sqrt(24 * float(variance.mean()) * min(1.0, anisotropy))
    return length, degrees(atan2(falling, rows)) / 2 % 180.0, anisotropy


def motion_blur(eyes: Sequence[Blur]) -> list[Measurement]:
    """Streak over the `eyes`, one or two; 0 and no direction where the blur is even."""
    length_name, direction_name = (quantity.name for quantity in QUANTITIES)
    told, direction, anisotropy = streak(eyes)
    length = told / TOLD_OVER_TRUE
    if anisotropy < LEAST_ANISOTROPY or length < LEAST_STREAK_PX:
        return [
            Measurement(length_name, 0.0),
            Measurement(direction_name, None, "the blur is alike in all directions"),
        ]
    return [Measurement(length_name, length), Measurement(direction_name, direction)]


QUANTITIES = (
    Quantity("motion_blur_px", "pixels of the full-size file", "length of the streak; 0 = none"),
    Quantity("motion_direction_deg", "degrees", "0 = along the rows, + = clockwise, 0 to 180"),
)
"""Answered together with the blur of the eyes (eye_blur.py), from the same look at them."""
