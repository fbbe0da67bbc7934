"""The light between the cheeks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.row import Row, errors
from tests.accuracy.pipeline import Pair


def light_row(pairs: Sequence[Pair]) -> Row:
    """Key over fill between the cheeks, stops."""
    found = errors(pairs, "light_ratio_stops", lambda _, p: p.light_ratio_stops_true)
    mean = float(found.values.mean()) if len(found.values) else float("nan")
    return Row(
        "light_ratio_stops",
        found.counted,
        found.measured,
        f"mean {mean:.2f} stop, 95th {np.percentile(found.values, 95):.2f}",
        "0.2 stop",
        mean <= 0.2,
    )
