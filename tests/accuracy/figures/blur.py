"""How sharp the eyes are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.row import Row, errors
from tests.accuracy.pipeline import Pair

BLUR_RANGE_PX = (0.7, 6.0)
"""True sigma for which the goal for blur holds."""

WITHIN_SHARE, WITHIN_PX = 0.2, 0.4
"""The goal: within so much of the true sigma, or so many pixels, the larger counts."""


def is_within_goal(found: float, true: float) -> bool:
    """Whether a sigma is told as closely as the goal asks."""
    return abs(found - true) <= max(WITHIN_SHARE * true, WITHIN_PX)


def blur_row(pairs: Sequence[Pair]) -> Row:
    """Blur at the eye where no motion is added: within 20 % or 0.4 px."""
    low, high = BLUR_RANGE_PX
    found = errors(
        pairs,
        "eye_blur_px",
        lambda _, p: p.true_eye_blur_sigma_px,
        lambda pair, p: (
            bool(p.eyes_visible)
            and low <= p.true_eye_blur_sigma_px <= high
            and pair.portrait.truth["motion_px"] == 0
        ),
    )
    true = np.array([pair.person.true_eye_blur_sigma_px for pair in found.pairs])
    hits = [is_within_goal(t + off, t) for t, off in zip(true, found.signed, strict=True)]
    within = float(np.mean(hits)) if hits else 0.0
    relative = np.median(found.values / true) if len(true) else float("nan")
    return Row(
        "eye_blur_px",
        found.counted,
        found.measured,
        f"{within:.1%} within 20 % or 0.4 px; median error {relative:.1%}",
        "within 20 % or 0.4 px",
        within >= 0.9,
    )
