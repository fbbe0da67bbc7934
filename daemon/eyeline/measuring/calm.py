"""Calm rectangles beside the sitter: where a line of text can be set and read."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring import srgb
from eyeline.terms.face import Seen
from eyeline.terms.frame import Picture
from eyeline.terms.rectangle import Rectangle

Grid = NDArray[np.bool_]

CELLS = 64
"""Cells along the frame's long side: one is 1.6 % of it, about the height of small print there."""

CELL_PX = 8
"""Pixels along a cell when its detail is judged: finer texture is no obstacle to reading."""

MOST_DETAIL = 4.5
"""Standard deviation of the lightness (8-bit sRGB grey) about a cell, up to which it is calm."""

NEIGHBOURHOOD_CELLS = 3
"""Cells along the square over which that deviation is taken: letters span several cells."""

MOST_ASPECT = 3.0
"""A calm rectangle lies between 1:3 and 3:1 (measures.md, `copy_space`)."""

LEAST_CONTRAST = 4.5
"""Contrast ratio of text at level AA (WCAG 2.2, success criterion 1.4.3)."""

DARKEST_UNDER_BLACK = LEAST_CONTRAST * srgb.VIEWING_FLARE - srgb.VIEWING_FLARE
"""Relative luminance, 0.175, from which black text reaches that contrast."""

BRIGHTEST_UNDER_WHITE = (1.0 + srgb.VIEWING_FLARE) / LEAST_CONTRAST - srgb.VIEWING_FLARE
"""Relative luminance, 0.183, up to which white text does."""

WORST_SHARE = 0.1
"""Share of a rectangle's pixels, those hardest to read on, that may miss the contrast: the worst decile's
border must reach it (measures.md), while single bright specks do not spoil a wall."""

SEEDS = (0.1, 0.35)
"""Largest share of misses in a cell that a rectangle may be grown over; it is then judged as a whole."""

LEAST_PERSON = 0.3
"""Silhouette probability from which a cell belongs to somebody: lower than even odds, since text on a
shoulder is worse than text a little further off."""

BREATHING_CELLS = 1
"""Cells left free around everybody."""

LEAST_SIDE_CELLS = 4
"""Sides of the smallest rectangle worth knowing, in cells (crops may enlarge it)."""


@dataclass(frozen=True, slots=True)
class Block:
    """A rectangle of grid cells."""

    left: int
    top: int
    width: int
    height: int


def calm_rectangles(picture: Picture, seen: Seen, head: tuple[float, float]) -> tuple[Rectangle, ...]:
    """For each side of the head, the largest upright and the largest wide calm rectangle, if any.

    `head`: left and right end of the sitter's head, fractions of the frame's width. Calm means: low
    detail, nobody there, and one colour of text, black or white, reaches `LEAST_CONTRAST` all over.
    """
    small = _small(picture.reduced)
    quiet = (detail(small) <= MOST_DETAIL) & ~_occupied(seen, picture, small)
    rows, columns = quiet.shape
    light = srgb.luminance(small)
    misses = [
        np.asarray(
            cv2.resize(miss.astype(np.float32), (columns, rows), interpolation=cv2.INTER_AREA), np.float32
        )
        for miss in (light < DARKEST_UNDER_BLACK, light > BRIGHTEST_UNDER_WHITE)
    ]
    found: list[Rectangle] = []
    ends = (0, int(head[0] * columns)), (int(np.ceil(head[1] * columns)), columns)
    for first, last in ends:
        first, last = max(0, first), min(columns, last)
        if last - first < LEAST_SIDE_CELLS:
            continue
        blocks = [
            block
            for miss in misses
            for block in _legible_blocks(quiet[:, first:last], miss[:, first:last])
            if min(block.width, block.height) >= LEAST_SIDE_CELLS
        ]
        for wide in (False, True):
            best = max(
                (block for block in blocks if (block.width >= block.height) is wide),
                key=lambda block: block.width * block.height,
                default=None,
            )
            if best is not None:
                left, top = (first + best.left) / columns, best.top / rows
                found.append(Rectangle(left, top, best.width / columns, best.height / rows))
    return tuple(found)


def _legible_blocks(quiet: Grid, miss: NDArray[np.float32]) -> list[Block]:
    """Quiet rectangles on which one colour of text is legible; `miss`: share of each cell where it is not."""
    total = cv2.integral(miss)
    found: list[Block] = []
    before: Grid | None = None
    for seed in SEEDS:
        free = quiet & (miss <= seed)
        if before is not None and np.array_equal(free, before):
            break
        before = free
        for block in map(_clamped, maximal_blocks(free)):
            right, bottom = block.left + block.width, block.top + block.height
            missed = (
                total[bottom, right]
                - total[block.top, right]
                - total[bottom, block.left]
                + total[block.top, block.left]
            )
            if missed <= WORST_SHARE * block.width * block.height:
                found.append(block)
    return found


def maximal_blocks(free: Grid) -> list[Block]:
    """All rectangles of True cells in `free` (m, n) that reach as high as they can at some bottom row.

    Every rectangle of True cells lies inside one of them: the stack method for the largest
    rectangle under a histogram, run on each row's column heights.
    """
    rows, columns = free.shape
    heights = [0] * columns
    found = []
    for row in range(rows):
        heights = [height + 1 if cell else 0 for height, cell in zip(heights, free[row], strict=True)]
        stack: list[tuple[int, int]] = []
        for column in range(columns + 1):
            height = heights[column] if column < columns else 0
            start = column
            while stack and stack[-1][1] >= height:
                start, tall = stack.pop()
                if tall > height:
                    found.append(Block(start, row - tall + 1, column - start, tall))
            if height:
                stack.append((start, height))
    return found


def _clamped(block: Block) -> Block:
    """The part of `block`, from its top left, within `MOST_ASPECT`; cells are square."""
    return Block(
        block.left,
        block.top,
        min(block.width, int(MOST_ASPECT * block.height)),
        min(block.height, int(MOST_ASPECT * block.width)),
    )


def _small(reduced: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture at `CELL_PX` pixels a cell, (rows * CELL_PX, columns * CELL_PX, 3)."""
    height, width = reduced.shape[:2]
    cell = max(height, width) / CELLS
    size = max(1, round(width / cell)) * CELL_PX, max(1, round(height / cell)) * CELL_PX
    return np.asarray(cv2.resize(reduced, size, interpolation=cv2.INTER_AREA))


def detail(small: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Standard deviation of the lightness about each cell, 8-bit levels, (rows, columns)."""
    grey = cv2.cvtColor(small, cv2.COLOR_RGB2GRAY).astype(np.float32)
    size = grey.shape[1] // CELL_PX, grey.shape[0] // CELL_PX
    window = (NEIGHBOURHOOD_CELLS * CELL_PX,) * 2
    mean = cv2.blur(grey, window)
    variance = cv2.blur(grey * grey, window) - mean * mean
    deviation = np.sqrt(np.maximum(variance, 0.0))
    return np.asarray(cv2.resize(deviation, size, interpolation=cv2.INTER_AREA), np.float32)


def background_cells(picture: Picture, seen: Seen) -> tuple[NDArray[np.float32], float]:
    """Detail of every cell away from people, 8-bit levels (n,), and their share of all cells."""
    small = _small(picture.reduced)
    deviation = detail(small)
    free = ~_occupied(seen, picture, small)
    return deviation[free], float(free.mean())


def _occupied(seen: Seen, picture: Picture, small: NDArray[np.uint8]) -> Grid:
    """Cells on or next to a person."""
    rows, columns = (side // CELL_PX for side in small.shape[:2])
    occupied = np.zeros((rows, columns), np.uint8)
    if seen.body is not None:
        person = cv2.resize(seen.body.probability, (columns * 4, rows * 4), interpolation=cv2.INTER_LINEAR)
        occupied |= (person.reshape(rows, 4, columns, 4).max(axis=(1, 3)) > LEAST_PERSON).astype(np.uint8)
    for face in seen.faces:
        left, top, right, bottom = face.box
        x0, x1 = int(left / picture.width * columns), int(np.ceil(right / picture.width * columns))
        y0, y1 = int(top / picture.height * rows), int(np.ceil(bottom / picture.height * rows))
        occupied[max(0, y0) : max(0, y1), max(0, x0) : max(0, x1)] = 1
    kernel = np.ones((2 * BREATHING_CELLS + 1,) * 2, np.uint8)
    return np.asarray(cv2.dilate(occupied, kernel) > 0)
