"""Rectangles of grid cells: all that could be the largest free one, and how uneven the ground is."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Grid = NDArray[np.bool_]

Blocks = NDArray[np.int64]
"""Rectangles of grid cells, (n, 4): left, top, width, height."""

Levels = NDArray[np.float64]

PARTS = 8
"""A rectangle's sides are cut at so many places in search of the largest part of it that will do."""

_CUTS = np.array([(near, far) for near in range(PARTS) for far in range(near + 1, PARTS + 1)])


def maximal_blocks(free: Grid) -> Blocks:
    """The rectangles of True cells in `free` (m, n) that lie in no larger one: (k, 4).

    The stack method for the largest rectangle under a histogram, run on each row's column heights; a run
    of equal heights counts as one column, and a row whose free cells are free in the next as well is left
    out, since whatever ends in it goes on there.
    """
    rows, columns = free.shape
    heights = np.zeros(columns + 1, np.int64)  # the last column stays 0: it closes what is open
    goes_on = np.zeros(rows, np.bool_)
    goes_on[:-1] = (~free[:-1] | free[1:]).all(axis=1)
    found = []
    for row in range(rows):
        heights[:-1] = np.where(free[row], heights[:-1] + 1, 0)
        if goes_on[row]:
            continue
        changes = np.flatnonzero(heights[1:] != heights[:-1]) + 1
        starts, talls = [0], [0]
        for column, height in zip((0, *changes.tolist()), (heights[0], *heights[changes]), strict=True):
            start = column
            while talls[-1] > height:
                start, tall = starts.pop(), talls.pop()
                found.append((start, row - tall + 1, column - start, tall))
            if height > talls[-1]:
                starts.append(start)
                talls.append(height)
    blocks = np.array(found, np.int64).reshape(-1, 4)
    left, _, width, _ = blocks.T
    below = blocks[:, 1] + blocks[:, 3]
    blocked = np.pad((~free).cumsum(axis=1), ((0, 1), (1, 0)))
    blocked[rows, 1:] = np.arange(1, columns + 1)  # below the last row nothing is free
    return np.asarray(blocks[blocked[below, left + width] > blocked[below, left]])


def clamped(blocks: Blocks, most_aspect: int) -> Blocks:
    """The blocks brought between 1:`most_aspect` and its inverse, cut at one end or at the other."""
    left, top, width, height = blocks.T
    wide, tall = np.minimum(width, most_aspect * height), np.minimum(height, most_aspect * width)
    near = np.stack([left, top, wide, tall], axis=1)
    far = np.stack([left + width - wide, top + height - tall, wide, tall], axis=1)
    return np.vstack([near, far[(far != near).any(axis=1)]])


def parts(blocks: Blocks) -> Blocks:
    """The blocks and what is left of each when its four sides are cut at `PARTS` places, all in one array."""
    left, top, width, height = (each[:, None] for each in blocks.T)
    near_x, far_x = (np.rint(width * cut / PARTS).astype(np.int64) for cut in _CUTS.T)
    near_y, far_y = (np.rint(height * cut / PARTS).astype(np.int64) for cut in _CUTS.T)
    across = np.stack([left + near_x, far_x - near_x], axis=2)[:, :, None]
    down = np.stack([top + near_y, far_y - near_y], axis=2)[:, None]
    shape = len(blocks), len(_CUTS), len(_CUTS), 2
    across, down = np.broadcast_to(across, shape), np.broadcast_to(down, shape)
    cut = np.stack([across[..., 0], down[..., 0], across[..., 1], down[..., 1]], axis=3)
    return np.asarray(cut.reshape(-1, 4))


def running_total(values: NDArray[np.float32] | Levels) -> Levels:
    """Sums of `values` (m, n, k) above and left of every corner of a cell, (m + 1, n + 1, k)."""
    rows, columns, planes = values.shape
    total = np.zeros((rows + 1, columns + 1, planes))
    np.cumsum(np.cumsum(values, axis=0, dtype=np.float64), axis=1, out=total[1:, 1:])
    return total


def sums(total: Levels, blocks: Blocks) -> Levels:
    """Sums over each of `blocks` of what `running_total` was made of, (n, k)."""
    left, top, width, height = blocks.T
    right, bottom = left + width, top + height
    return np.asarray(total[bottom, right] - total[top, right] - total[bottom, left] + total[top, left])


def sums_over_squares(values: NDArray[np.float32] | Levels, side: int) -> Levels:
    """Sums of `values` (m, n) over every square of `side` cells, (m - side + 1, n - side + 1)."""
    total = running_total(values[..., None])[..., 0]
    upper, lower = total[:-side], total[side:]
    return np.asarray(lower[:, side:] - upper[:, side:] - lower[:, :-side] + upper[:, :-side])


@lru_cache(maxsize=64)  # rooms beside sitters come in some dozens of sizes, of 0.1 MB at the most
def _at_every_place(side: int, cells: int) -> Levels:
    """Orthonormal polynomials of degree 0, 1 and 2 along each run of `side` of the `cells`, 0 elsewhere: (3,
    cells - side + 1, cells), to be multiplied by what the cells hold.
    """
    polynomials = np.linalg.qr(np.linspace(-1, 1, side)[:, None] ** np.arange(3))[0]
    places = np.zeros((3, cells - side + 1, cells))
    for first in range(cells - side + 1):
        places[:, first, first : first + side] = polynomials.T
    return places


def relief(colours: NDArray[np.float32], side: int) -> Levels:
    """Standard deviation of `colours` (m, n, 3) about the smooth light on every square of `side` cells.

    (m - side + 1, n - side + 1), in the colours' unit, each at its square's top left cell. Smooth is what a
    surface of second degree explains of each coordinate (least squares): a lamp's pool and its fall, but no
    window frame, shelf or crowd, however far out of focus.
    """
    levels: Levels = np.asarray(colours - colours.mean(axis=(0, 1), dtype=np.float64), np.float64)
    down, along = (_at_every_place(side, cells) for cells in levels.shape[:2])
    across = np.tensordot(along, levels, (2, 1))  # (3, n - side + 1, m, 3)
    explained = sum(
        (np.tensordot(down[degree], across[: 3 - degree], (1, 2)) ** 2).sum(axis=(1, 3))
        for degree in range(3)
    )
    squares = sums_over_squares((levels * levels).sum(axis=2), side)
    return np.asarray(np.sqrt(np.maximum(squares - explained, 0.0)) / side)
