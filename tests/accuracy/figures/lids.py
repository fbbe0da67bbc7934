"""Whether the eyes are open."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair

FALSE_FLAGS = 0.01
"""Share of open eyes that may be called closed when the share of closed eyes caught is stated."""


def lid_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Closed eyes caught at a fixed share of false flags, half-closed ones by the sitter's own opening."""
    judged = [(p, p.number("eyes_open")) for p in pairs if p.person is not None]
    known = [(p, value) for p, value in judged if value is not None]
    open_eyes = np.array([value for p, value in known if p.person.eyes == "open" and p.person.iris_is_seen])
    closed = np.array([value for p, value in known if p.person.eyes == "closed"])
    if not len(open_eyes) or not len(closed):
        return []
    limit = float(np.quantile(open_eyes, FALSE_FLAGS, method="lower"))
    caught = float(np.mean(closed < limit))
    at_half = f"; at 0.5: {np.mean(closed < 0.5):.1%} caught, {np.mean(open_eyes < 0.5):.1%} false"
    rows = [
        Row(
            "closed eyes",
            len(open_eyes) + len(closed),
            len(known) / len(judged),
            f"{caught:.1%} caught at {FALSE_FLAGS:.0%} false flags{at_half}",
            "95 %",
            caught >= 0.95,
        )
    ]
    area = half_closed_area(pairs)
    if area is not None:
        rows.append(
            Row(
                "half-closed eyes",
                len(known),
                None,
                f"AUC {area:.3f}, relative to the sitter's own opening",
                "AUC 0.95",
                area >= 0.95,
            )
        )
    return rows


def half_closed_area(pairs: Sequence[Pair]) -> float | None:
    """Area under the ROC of half-closed against open, opening relative to the sitter's median when open.

    Lids that are half down hide most of the iris, so that only open eyes must show theirs.
    """
    openings: dict[str, list[tuple[str, float]]] = {}
    for pair in pairs:
        left, right = pair.number("eye_opening_left"), pair.number("eye_opening_right")
        if pair.person is None or left is None or right is None:
            continue
        if pair.person.eyes != "open" or pair.person.iris_is_seen:
            openings.setdefault(pair.person.sitter, []).append((pair.person.eyes, (left + right) / 2))
    open_eyes, half = [], []
    for of_sitter in openings.values():
        usual = [value for word, value in of_sitter if word == "open"]
        if not usual:
            continue
        middle = float(np.median(usual))
        open_eyes += [value / middle for word, value in of_sitter if word == "open"]
        half += [value / middle for word, value in of_sitter if word == "half"]
    if not open_eyes or not half:
        return None
    wins = np.array(open_eyes)[:, None] - np.array(half)[None, :]
    return float(np.mean((wins > 0) + 0.5 * (wins == 0)))
