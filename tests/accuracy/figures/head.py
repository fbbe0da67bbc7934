"""How the head is turned."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.readable import head_is_upright
from tests.accuracy.figures.row import Row, errors
from tests.accuracy.pipeline import Pair


def head_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Mean absolute error of the head's angles, pitch after one common offset for all sitters."""
    rows = []
    for name, field, goal in (
        ("head_yaw_deg", "head_yaw_los", 2.0),
        ("head_pitch_deg", "head_pitch_los", 3.0),
        ("head_roll_deg", "head_roll", 1.2),
    ):
        found = errors(pairs, name, lambda _, p, f=field: p.truth[f], head_is_upright)
        offset = float(np.median(found.signed)) if name == "head_pitch_deg" and len(found.signed) else 0.0
        wrong = np.abs(found.signed - offset)
        note = f" after a common offset of {offset:+.1f}°" if offset else ""
        mean = float(wrong.mean()) if len(wrong) else float("nan")
        rows.append(
            Row(
                name,
                found.counted,
                found.measured,
                f"mean {mean:.2f}°, 95th {np.percentile(wrong, 95):.2f}°{note}",
                f"mean {goal}°",
                mean <= goal,
            )
        )
    return rows
