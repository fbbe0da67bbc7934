"""Where the sitter is in the frame."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.row import Row, errors, median_row
from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Person


def framing_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Where the sitter is in the frame, in per cent of it."""
    rows = [
        median_row(errors(pairs, name, lambda _, p, n=name: p.truth[n], _eyes_in_frame), " %", 100, 0.5, 1.5)
        for name in ("eye_line", "eye_x")
    ]
    for name in ("chin_room", "headroom"):
        found = errors(pairs, name, lambda _, p, n=name: max(0.0, p.truth[n]))
        rows.append(median_row(found, " %", 100, 1.0, 3.0))
    for name in ("head_height", "room_left", "room_right"):
        found = errors(pairs, name, lambda _, p, n=name: p.truth[n])
        if len(found.values):
            middle, high = np.percentile(found.values, (50, 95)) * 100
            rows.append(
                Row(
                    name, found.counted, found.measured, f"median {middle:.2f} %, 95th {high:.2f} %", "", None
                )
            )
    cut = [
        (bool(p.value("crown_cut")), p.person.crown_cut)
        for p in pairs
        if p.person and p.value("crown_cut") is not None
    ]
    right = sum(a == b for a, b in cut)
    caught = sum(a and b for a, b in cut)
    rows.append(
        Row(
            "crown_cut",
            len(cut),
            len(cut) / max(1, sum(p.person is not None for p in pairs)),
            f"{right / len(cut):.1%} right; {caught} of {sum(b for _, b in cut)} cut crowns caught",
            "",
            None,
        )
    )
    return rows


def _eyes_in_frame(pair: Pair, person: Person) -> bool:
    return bool(person.eyes_visible) or person.eyes != "open"
