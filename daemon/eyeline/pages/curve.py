"""A criterion as a small curve: its desirability function, and where one frame stands on it. Pure.

Lengths are pixels of the drawing; y counts down. The line is the desirability (1 on top), the foot the ideal,
the needle the frame.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, isfinite

import numpy as np

from eyeline.judging.desirability import target_range
from eyeline.judging.rulebook import Ideal
from eyeline.terms.measurement import Value

WIDTH, HEIGHT = 148.0, 34.0
TOP, BASE = 6.0, 31.0
MARGIN = 0.08
"""Share of the range that is drawn beyond its limits, so that one sees that there it is 0."""

OPEN_SIDE = 0.6
"""A side without limit is drawn as wide as this share of the other one."""

SAMPLES = 48
"""Places at which a curve that is no straight line is drawn."""


@dataclass(frozen=True, slots=True)
class Curve:
    """`line`: path data of the desirability. `foot`: from and to, x. `needle`: x, and `dot`: y, of the frame;
    None where it has no value. `low`, `high`: what the drawing's edges stand for; 0 where it is in words."""

    line: str
    foot: tuple[float, float]
    needle: float | None
    dot: float | None
    low: float
    high: float
    width: float = WIDTH
    height: float = HEIGHT
    base: float = BASE

    def x(self, value: float) -> float:
        """Where `value` lies, cut off at the drawing's edges."""
        share = (value - self.low) / (self.high - self.low) if self.high > self.low else 0.5
        return round(min(1.0, max(0.0, share)) * self.width, 1)


def curve(
    ideal: Ideal,
    value: Value = None,
    also: Iterable[float] = (),
    width: float = WIDTH,
    height: float = HEIGHT,
    span: tuple[float, float] | None = None,
) -> Curve:
    """The drawing of `ideal` with a frame of `value` on it. `also`: values that the drawing has room for;
    `span`: the range to draw, instead of one chosen here."""
    base, top = height - (HEIGHT - BASE), TOP
    if ideal.words:
        return _of_words(ideal, value, width, height)
    if ideal.ignore_sign and isinstance(value, (int, float)):
        value = abs(value)
    numbers = [float(each) for each in (*also, *([value] if isinstance(value, (int, float)) else []))]
    low, high = span or _span(ideal, numbers)
    ends = (ideal.low, ideal.ideal_low, ideal.ideal_high, ideal.high)
    straight = ideal.shape_below == 1 == ideal.shape_above
    inside = [each for each in ends if isfinite(each) and low < each < high]
    places = sorted({low, high, *inside} if straight else {*np.linspace(low, high, SAMPLES), *inside})
    marks = target_range(places, *ends, ideal.shape_below, ideal.shape_above)
    drawn = Curve("", (0.0, 0.0), None, None, low, high, width, height, base)
    points = [
        f"{drawn.x(place):g} {_y(mark, top, base):g}" for place, mark in zip(places, marks, strict=True)
    ]
    needle = dot = None
    if isinstance(value, (int, float)):
        mark = float(target_range(float(value), *ends, ideal.shape_below, ideal.shape_above))
        needle, dot = drawn.x(float(value)), _y(mark, top, base)
    foot = drawn.x(max(ideal.ideal_low, low)), drawn.x(min(ideal.ideal_high, high))
    return Curve("M" + " L".join(points), foot, needle, dot, low, high, width, height, base)


def _span(ideal: Ideal, numbers: Iterable[float]) -> tuple[float, float]:
    low, high = ideal.low, ideal.high
    if ideal.ideal_high == inf:  # at least
        high = ideal.ideal_low + OPEN_SIDE * max(ideal.ideal_low - low, abs(ideal.ideal_low) * 0.1)
    if ideal.ideal_low == -inf:  # at most
        low = min(0.0, ideal.ideal_high)
    if ideal.ignore_sign:
        low = max(low, 0.0)
    found = [each for each in (low, high, *numbers) if isfinite(each)]
    low, high = min(found, default=0.0), max(found, default=1.0)
    beyond = MARGIN * (high - low or 1.0)
    if ideal.ideal_low == -inf or ideal.ignore_sign:
        return low, high + beyond
    return low - beyond, high + (0.0 if ideal.ideal_high == inf else beyond)


def _of_words(ideal: Ideal, value: Value, width: float, height: float) -> Curve:
    """As many steps as words are named, and one for all others."""
    steps = [*ideal.words, ("", ideal.otherwise)]
    step, base = width / len(steps), height - (HEIGHT - BASE)
    line, needle, dot, foot = "", None, None, (0.0, 0.0)
    for place, (word, mark) in enumerate(steps):
        left, y = place * step, _y(mark, TOP, base)
        line += f"M{left:g} {y:g} H{left + step:g} "
        if mark == 1.0:
            foot = (min(foot[0], left) if foot[1] else left, left + step)
        is_here = value == word or (needle is None and place == len(steps) - 1 and value is not None)
        if is_here and needle is None:
            needle, dot = round(left + step / 2, 1), y
    return Curve(line.strip(), foot, needle, dot, 0.0, 0.0, width, height, base)


def _y(mark: float, top: float, base: float) -> float:
    return round(base - float(mark) * (base - top), 1)
