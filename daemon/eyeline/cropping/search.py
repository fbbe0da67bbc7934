"""The rectangles that are tried for a crop: all sizes and positions, coarse first, then finer.

Everything is done for P frames and F formats at once; boxes are float64 (P, F, N, 3), each its height and
its left and top edge in pixels of the upright frame. The width follows from the format.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeline.judging.rulebook import CropFormat
from eyeline.measuring.sitters import Sitters

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]

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


@dataclass(frozen=True, slots=True, eq=False)
class Spaces:
    """What each of F formats allows in each of P frames: heights of the crop, pixels, (P, F).

    `possible`: where there is any. `smallest` is no larger than `largest` where there is none, so that
    the search can go through such a format with the others; nothing that it finds there counts.
    `ratios`: (F,), width over height. `width`, `height`: of the frames, pixels, (P, 1).
    """

    ratios: Numbers
    width: Numbers
    height: Numbers
    smallest: Numbers
    largest: Numbers
    possible: Mask


def whole_size(
    height: ArrayLike, ratio: ArrayLike, width_limit: ArrayLike, height_limit: ArrayLike
) -> tuple[Numbers, Numbers]:
    """Width and height in whole pixels nearest to `ratio` at about `height`, inside the limits.

    The longer side is rounded first, so that the other's rounding weighs least.
    """
    ratio, is_wide = np.asarray(ratio, np.float64), np.asarray(ratio) >= 1
    wide = np.minimum(np.rint(np.multiply(height, ratio)), width_limit)
    high = np.minimum(np.rint(height), height_limit)
    return (
        np.maximum(np.where(is_wide, wide, np.minimum(np.rint(high * ratio), width_limit)), 1),
        np.maximum(np.where(is_wide, np.minimum(np.rint(wide / ratio), height_limit), high), 1),
    )


def spaces(formats: Sequence[CropFormat], sitters: Sitters, crown_may_be_cut: bool) -> Spaces:
    """The sizes of each of `formats` that are worth trying."""
    ratios = np.array([each.ratio for each in formats])
    pixels = np.array([max(each.height, each.width / each.ratio) for each in formats])
    largest = np.minimum(sitters.height_px, sitters.width_px / ratios)
    face = LEAST_FACE * (sitters.chin_y - sitters.eye_y)
    head = LEAST_AIR * (sitters.chin_y - sitters.crown_y)
    needed = np.where(np.isnan(head) | crown_may_be_cut, face, head) * sitters.height_px
    smallest = np.maximum(pixels, needed)
    possible = smallest <= largest
    return Spaces(
        ratios, sitters.width_px, sitters.height_px, np.minimum(smallest, largest), largest, possible
    )


def coarse(room: Spaces, sitters: Sitters) -> tuple[Numbers, Numbers]:
    """Boxes of all formats (P, F, N, 3), and the steps between them, (P, F, 3)."""
    smallest, largest = room.smallest[..., None], room.largest[..., None]
    heights = smallest * (largest / smallest) ** _SIZE_STEPS
    left_low, left_high = _span(
        sitters.head_left * room.width,
        sitters.head_right * room.width,
        heights * room.ratios[:, None],
        room.width,
    )
    crown_y = np.where(np.isnan(sitters.crown_y), sitters.eye_y, sitters.crown_y)
    top_low, top_high = _span(crown_y * room.height, sitters.chin_y * room.height, heights, room.height)
    boxes = np.empty((*heights.shape, ACROSS, DOWN, 3))
    boxes[..., 0] = heights[..., None, None]
    boxes[..., 1] = (left_low[..., None] + (left_high - left_low)[..., None] * _ACROSS_STEPS)[..., None]
    boxes[..., 2] = (top_low[..., None] + (top_high - top_low)[..., None] * _DOWN_STEPS)[..., None, :]
    steps = np.stack(
        [
            (room.largest - room.smallest) / (SIZES - 1),
            (left_high - left_low).max(axis=-1) / (ACROSS - 1),
            (top_high - top_low).max(axis=-1) / (DOWN - 1),
        ],
        axis=-1,
    )
    return boxes.reshape(*room.largest.shape, -1, 3), steps


def finer(best: Numbers, steps: Numbers, room: Spaces) -> Numbers:
    """Boxes (P, F, N, 3) around the `best` of each format, (P, F, 3), within its `steps` and inside the
    frame. The best itself is one of them.
    """
    boxes: Numbers = best[..., None, :] + _FINER_STEPS * steps[..., None, :]
    heights = np.maximum(np.minimum(boxes[..., 0], room.largest[..., None]), room.smallest[..., None])
    boxes[..., 0] = heights
    widths = heights * room.ratios[:, None]
    boxes[..., 1] = np.maximum(np.minimum(boxes[..., 1], room.width[..., None] - widths), 0.0)
    boxes[..., 2] = np.maximum(np.minimum(boxes[..., 2], room.height[..., None] - heights), 0.0)
    return boxes


def windows(boxes: Numbers, room: Spaces) -> Numbers:
    """Boxes (P, F, N, 3) in pixels as windows (P, F * N, 4) in fractions of the frame."""
    width, height = room.width[..., None], room.height[..., None]
    heights, lefts, tops = np.moveaxis(boxes, -1, 0)
    stacked: Numbers = np.stack(
        [lefts / width, tops / height, heights * room.ratios[:, None] / width, heights / height], axis=-1
    )
    return stacked.reshape(len(boxes), -1, 4)


def whole(boxes: Numbers, room: Spaces, sitters: Sitters) -> Numbers:
    """`boxes` (P, F, 3) in whole pixels: left, top, width, height, (P, F, 4), inside the frame, chin and
    crown still in."""
    heights, lefts, tops = np.moveaxis(boxes, -1, 0)
    wide, high = whole_size(heights, room.ratios, room.width, room.height)
    left = np.minimum(np.maximum(np.rint(lefts), 0), room.width - wide)
    top = np.minimum(np.maximum(np.floor(tops), 0), room.height - high)
    chin = sitters.chin_y * room.height
    lower = np.minimum(np.maximum(np.ceil(chin - high), 0), room.height - high)
    return np.stack([left, np.where(chin > top + high, lower, top), wide, high], axis=-1)


def _span(low: Numbers, high: Numbers, sizes: Numbers, limit: Numbers) -> tuple[Numbers, Numbers]:
    """Range of a window's near edge so that it holds `low` to `high`, or is centred on it if too small.

    `low`, `high`, `limit`: (P, 1); `sizes`: (P, F, N), as are both answers.
    """
    low, high, limit = low[..., None], high[..., None], limit[..., None]
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
