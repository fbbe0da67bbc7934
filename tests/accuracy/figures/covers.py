"""How often something is said to stand before a face that nothing stands before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from eyeline.terms.measurement import Measurement
from tests.accuracy.figures.row import Row

MOST_FALSE = 0.005
"""Share of uncovered faces that may be said to be covered: a false alarm takes measures from a good frame."""

NAMES = ("left_eye_covered", "right_eye_covered", "chin_covered")


def false_cover_row(name: str, uncovered: Sequence[Mapping[str, Measurement]]) -> Row:
    """Of faces that nothing stands before, those of which any part is said to be covered."""
    told = [each for each in uncovered if each[NAMES[0]].value is not None]
    false = sum(any(each[part].value is True for part in NAMES) for each in told)
    share = false / max(1, len(told))
    figure = f"{false} of {len(told)} called covered, {share:.1%}"
    measured = len(told) / max(1, len(uncovered))
    return Row(name, len(uncovered), measured, figure, f"≤ {MOST_FALSE:.1%}", share <= MOST_FALSE)
