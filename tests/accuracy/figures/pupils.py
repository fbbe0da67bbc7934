"""Where the pupils are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair


def pupil_row(pairs: Sequence[Pair]) -> Row:
    """Pupils of open eyes, both counted, in shares of the true eye distance."""
    counted = [pair for pair in pairs if pair.person is not None and pair.person.eyes_visible]
    found = [error for pair in counted if (error := pair.pupil_errors()) is not None]
    flat = np.array(found).ravel() * 100
    return Row(
        "pupils",
        len(counted),
        len(found) / len(counted),
        f"median {np.median(flat):.2f} %, 95th {np.percentile(flat, 95):.2f} % of the eye distance",
        "median 2 %",
        bool(np.median(flat) <= 2),
    )
