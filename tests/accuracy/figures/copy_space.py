"""The free side."""

from __future__ import annotations

from collections.abc import Sequence

from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair


def copy_space_row(pairs: Sequence[Pair]) -> Row:
    """The word for the free side, against the sides that the frame was composed with."""
    words = [
        (_sides(pair.portrait.truth["empty_sides"]), pair.value("copy_space"))
        for pair in pairs
        if pair.portrait.truth["people_count"] == 1 and pair.person is not None
    ]
    known = [(true, found) for true, found in words if found is not None]
    right = sum(true == found for true, found in known) / len(known) if known else 0.0
    return Row(
        "copy_space word", len(words), len(known) / len(words), f"{right:.1%} right", "95 %", right >= 0.95
    )


def _sides(sides: list[str]) -> str:
    return "both" if len(sides) == 2 else sides[0] if sides else "none"
