"""The rectangles that are tried for a crop: all sizes and positions, coarse first, then finer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.rulebook import CropFormat
from eyeline.terms.points import Points

Numbers = NDArray[np.float64]

SIZES = 7
ACROSS = 5
DOWN = 7
"""Coarse grid of a format: sizes, positions across, positions down. All are tried at once."""

FINER = np.linspace(-1.0, 1.0, 5)
"""Steps of a finer round, in units of the step of the round before it."""

_SIZE_STEPS = np.linspace(0, 1, SIZES)
_ACROSS_STEPS = np.linspace(0, 1, ACROSS)
_DOWN_STEPS = np.linspace(0, 1, DOWN)
_FINER_STEPS = np.stack(np.meshgrid(FINER, FINER, FINER, indexing="ij"), axis=-1).reshape(-1, 3)

SHRINK = 0.4
"""Each finer round searches this share of the steps before it."""

LEAST_AIR = 1.02
"""A crop that may not cut the head is at least this many heads high."""

LEAST_FACE = 1.4
"""A crop that may cut the crown is at least this many eye-to-chin distances high."""


@dataclass(frozen=True, slots=True)
class Space:
    """What a format allows in a frame of `width` x `height` pixels: heights of the crop, pixels."""

    format: CropFormat
    width: int
    height: int
    smallest: float
    largest: float

    @property
    def largest_size(self) -> tuple[int, int]:
        """Width and height of the largest crop of this format, whole pixels."""
        return whole_size(self.largest, self.format.ratio, self.width, self.height)


def whole_size(height: float, ratio: float, width_limit: int, height_limit: int) -> tuple[int, int]:
    """Width and height in whole pixels nearest to `ratio` at about `height`, inside the limits.

    The longer side is rounded first, so that the other's rounding weighs least.
    """
    if ratio >= 1:
        wide = min(round(height * ratio), width_limit)
        return max(wide, 1), max(min(round(wide / ratio), height_limit), 1)
    high = min(round(height), height_limit)
    return max(min(round(high * ratio), width_limit), 1), max(high, 1)


def space(shape: CropFormat, points: Points, width: int, height: int, crown_may_be_cut: bool) -> Space:
    """The sizes of `shape` that are worth trying; `smallest` exceeds `largest` where none is."""
    largest = min(float(height), width / shape.ratio)
    if crown_may_be_cut or points.crown_y is None:
        needed = LEAST_FACE * (points.chin[1] - points.eye_y) * height
    else:
        needed = LEAST_AIR * (points.chin[1] - points.crown_y) * height
    return Space(shape, width, height, max(shape.height, shape.width / shape.ratio, needed), largest)


def coarse(spaces: list[Space], points: Points) -> tuple[Numbers, Numbers]:
    """Boxes of all formats, float64 (formats, boxes, 3), and the steps between them, (formats, 3).

    A box is its height and its left and top edge, in pixels; the width follows from the format.
    """
    width, height = spaces[0].width, spaces[0].height
    smallest, largest, ratios = _columns(spaces)
    heights = smallest * (largest / smallest) ** _SIZE_STEPS
    left_low, left_high = _span(points.head_left * width, points.head_right * width, heights * ratios, width)
    crown_y = points.eye_y if points.crown_y is None else points.crown_y
    top_low, top_high = _span(crown_y * height, points.chin[1] * height, heights, height)
    boxes = np.empty((len(spaces), SIZES, ACROSS, DOWN, 3))
    boxes[..., 0] = heights[:, :, None, None]
    boxes[..., 1] = (left_low[..., None] + (left_high - left_low)[..., None] * _ACROSS_STEPS)[..., None]
    boxes[..., 2] = (top_low[..., None] + (top_high - top_low)[..., None] * _DOWN_STEPS)[:, :, None]
    steps = np.stack(
        [
            (largest - smallest)[:, 0] / (SIZES - 1),
            (left_high - left_low).max(axis=1) / (ACROSS - 1),
            (top_high - top_low).max(axis=1) / (DOWN - 1),
        ],
        axis=-1,
    )
    return boxes.reshape(len(spaces), -1, 3), steps


def finer(best: Numbers, steps: Numbers, spaces: list[Space]) -> Numbers:
    """Boxes around the `best` of each format, (formats, 3), within its `steps` and inside the frame.

    The best itself is one of them.
    """
    width, height = spaces[0].width, spaces[0].height
    smallest, largest, ratios = _columns(spaces)
    boxes: Numbers = best[:, None, :] + _FINER_STEPS * steps[:, None, :]
    heights = np.maximum(np.minimum(boxes[..., 0], largest), smallest)
    boxes[..., 0] = heights
    boxes[..., 1] = np.maximum(np.minimum(boxes[..., 1], width - heights * ratios), 0.0)
    boxes[..., 2] = np.maximum(np.minimum(boxes[..., 2], height - heights), 0.0)
    return boxes


def _columns(spaces: list[Space]) -> tuple[Numbers, Numbers, Numbers]:
    """Smallest and largest height and ratio of each format, (formats, 1)."""
    columns = np.array([[each.smallest, each.largest, each.format.ratio] for each in spaces])
    return columns[:, 0:1], columns[:, 1:2], columns[:, 2:3]


def windows(boxes: Numbers, spaces: list[Space]) -> Numbers:
    """Boxes (formats, n, 3) in pixels as windows (formats * n, 4) in fractions of the frame."""
    ratios = np.array([each.format.ratio for each in spaces])[:, None]
    width, height = spaces[0].width, spaces[0].height
    heights, lefts, tops = boxes[..., 0], boxes[..., 1], boxes[..., 2]
    stacked: Numbers = np.stack(
        [lefts / width, tops / height, heights * ratios / width, heights / height], axis=-1
    )
    return stacked.reshape(-1, 4)


def _span(low: float, high: float, sizes: Numbers, limit: int) -> tuple[Numbers, Numbers]:
    """Range of a window's near edge so that it holds `low` to `high`, or is centred on it if too small."""
    room = limit - sizes
    first = np.maximum(np.minimum(high - sizes, room), 0.0)
    last = np.maximum(np.minimum(low, room), 0.0)
    middle = np.maximum(np.minimum((low + high - sizes) / 2, room), 0.0)
    reach = np.abs(last - first) / 2
    holds = last >= first
    return (
        np.where(holds, first, np.maximum(middle - reach, 0.0)),
        np.where(holds, last, np.minimum(middle + reach, room)),
    )
