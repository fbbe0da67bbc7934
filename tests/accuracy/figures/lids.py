"""Whether the eyes are open."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair

FALSE_FLAGS = 0.01
"""Share of open eyes that may be called closed when the share of closed eyes caught is stated."""

MOST_OF_A_SITTER = 0.05
"""Share of a sitter's own open eyes that may be called closed."""

CLOSED_BELOW = 0.5
"""Probability of open eyes under which they count as called closed."""


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
    caught_at_half, false = np.mean(closed < CLOSED_BELOW), np.mean(open_eyes < CLOSED_BELOW)
    at_half = f"; at {CLOSED_BELOW}: {caught_at_half:.1%} caught, {false:.1%} false"
    rows = [
        Row(
            "closed eyes",
            len(open_eyes) + len(closed),
            len(known) / len(judged),
            f"{caught:.1%} caught at {FALSE_FLAGS:.0%} false flags{at_half}",
            "95 %",
            caught >= 0.95,
        ),
        worst_sitter(known),
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


def worst_sitter(known: Sequence[tuple[Pair, float]]) -> Row:
    """Of whom the largest share of open, seen eyes is called closed; a sitter of the sets has few frames, so
    that one of them is more than the goal allows.
    """
    flags: dict[str, list[bool]] = {}
    for pair, value in known:
        if pair.person is not None and pair.person.eyes == "open" and pair.person.iris_is_seen:
            flags.setdefault(pair.person.sitter, []).append(value < CLOSED_BELOW)
    worst = max(flags, key=lambda sitter: float(np.mean(flags[sitter])))
    share = float(np.mean(flags[worst]))
    return Row(
        "open eyes called closed, worst sitter",
        sum(len(each) for each in flags.values()),
        None,
        f"{worst}: {sum(flags[worst])} of {len(flags[worst])} frames, {share:.1%}" if share else "none",
        f"≤ {MOST_OF_A_SITTER:.0%}",
        share <= MOST_OF_A_SITTER,
    )


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
