"""How frames hang: side by side at one scale, the eyes on one line, like notes on a stave.

All is in units: a frame of the ratio 3:2 is 36 by 24 of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from eyeline.terms.points import Points

DIAGONAL = hypot(36, 24)
"""Units along the diagonal of every frame: so no format is shown larger than another, and one of 3:2 is as
large in units as 35 mm film is in millimetres."""

USUAL_EYE_Y = 0.4
"""Where a frame hangs in which no eyes are known: fraction of its height (the middle of what genres want)."""


@dataclass(frozen=True, slots=True)
class Hung:
    """A frame of `width` by `height` units; `above`: how much of the height lies above the line of eyes."""

    width: float
    height: float
    above: float

    @property
    def below(self) -> float:
        """How much of the height lies below the line of eyes."""
        return self.height - self.above


@dataclass(frozen=True, slots=True)
class Stave:
    """How far the frames of one line of eyes reach above and below it, in units."""

    above: float
    below: float

    @property
    def height(self) -> float:
        """Units from the highest edge to the lowest."""
        return self.above + self.below

    def top(self, frame: Hung) -> float:
        """How far below the stave's own top the top edge of `frame` hangs, in units."""
        return self.above - frame.above


def hung(width_px: int, height_px: int, points: Points | None) -> Hung:
    """Hang a frame of that many pixels, upright, by the eyes that `points` tell."""
    unit = DIAGONAL / hypot(width_px, height_px)
    eye_y = USUAL_EYE_Y if points is None else min(1.0, max(0.0, points.eye_y))
    return Hung(width_px * unit, height_px * unit, eye_y * height_px * unit)


def stave(frames: Sequence[Hung]) -> Stave:
    """The stave that holds all of `frames`, at least one."""
    return Stave(max(each.above for each in frames), max(each.below for each in frames))


def rows(widths: Sequence[float], gap: float, most: float) -> tuple[range, ...]:
    """Part frames of these `widths`, `gap` apart, into rows of at most `most`; a wider one stands alone."""
    found: list[range] = []
    start, taken = 0, 0.0
    for place, width in enumerate(widths):
        wanted = taken + gap + width if place > start else width
        if place > start and wanted > most:
            found.append(range(start, place))
            start, wanted = place, width
        taken = wanted
    return (*found, range(start, len(widths))) if widths else ()
