"""Rectangles, in fractions of the upright frame."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Rectangle:
    """An upright rectangle; all four numbers are fractions of the upright frame's width or height."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Right edge, fraction of the frame's width."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Bottom edge, fraction of the frame's height."""
        return self.top + self.height
