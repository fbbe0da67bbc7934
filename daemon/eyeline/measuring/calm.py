"""Calm rectangles beside the sitter: where a line of text can be set and read."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring import srgb
from eyeline.terms.face import Seen
from eyeline.terms.frame import Picture
from eyeline.terms.rectangle import Rectangle

Grid = NDArray[np.bool_]

Blocks = NDArray[np.int64]
"""Rectangles of grid cells, (n, 4): left, top, width, height."""

CELLS = 64
"""Cells along the frame's long side: one is 1.6 % of it, about the height of small print there."""

LEAST_CELL_PX = 6
"""Pixels along a cell that its detail is judged by."""

MOST_DETAIL = 4.5
"""Standard deviation of the lightness (8-bit sRGB grey) about a cell, up to which it is calm."""

NEIGHBOURHOOD_CELLS = 3
"""Cells along the square over which that deviation is taken: letters span several cells."""

MOST_ASPECT = 3
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

BREATHING_CELLS = 2
"""Cells left free around everybody, 3 % of the long side: text that touches hair is in the way of both."""

SAFE_MARGIN = 0.05
"""Share of the frame's width and height along each edge where no text is set: the graphics safe area of
EBU R 95 (from memory); trimming and screens' corners eat there."""

LEAST_SIDE_CELLS = 4
"""Sides of the smallest rectangle worth knowing, in cells (crops may enlarge it)."""


def calm_rectangles(picture: Picture, seen: Seen, head: tuple[float, float]) -> tuple[Rectangle, ...]:
    """For each side of the head, the largest upright and the largest wide calm rectangle, if any.

    `head`: left and right end of the sitter's head, fractions of the frame's width. Calm means: low
    detail, nobody there, and one colour of text, black or white, reaches `LEAST_CONTRAST` all over.
    """
    quiet = (detail(picture.reduced) <= MOST_DETAIL) & ~_occupied(seen, picture)
    rows, columns = quiet.shape
    quiet[: round(SAFE_MARGIN * rows)] = quiet[rows - round(SAFE_MARGIN * rows) :] = False
    quiet[:, : round(SAFE_MARGIN * columns)] = quiet[:, columns - round(SAFE_MARGIN * columns) :] = False
    light = srgb.luminance(_halved(picture.reduced)[::2, ::2])
    misses = [
        _cell_means(miss.astype(np.float32), (columns, rows))
        for miss in (light < DARKEST_UNDER_BLACK, light > BRIGHTEST_UNDER_WHITE)
    ]
    found: list[Rectangle] = []
    ends = (0, int(head[0] * columns)), (int(np.ceil(head[1] * columns)), columns)
    for first, last in ends:
        first, last = max(0, first), min(columns, last)
        if last - first < LEAST_SIDE_CELLS:
            continue
        blocks = np.vstack([_legible_blocks(quiet[:, first:last], miss[:, first:last]) for miss in misses])
        is_wide = blocks[:, 2] >= blocks[:, 3]
        for kind in (blocks[~is_wide], blocks[is_wide]):
            if len(kind):
                left, top, width, height = kind[np.argmax(kind[:, 2] * kind[:, 3])].tolist()
                found.append(Rectangle((first + left) / columns, top / rows, width / columns, height / rows))
    return tuple(found)


def _legible_blocks(quiet: Grid, miss: NDArray[np.float32]) -> Blocks:
    """Quiet rectangles on which one colour of text is legible; `miss`: share of each cell where it is not."""
    seeds = [quiet & (miss <= seed) for seed in SEEDS]
    if np.array_equal(seeds[0], seeds[1]):
        del seeds[1]
    blocks = np.vstack([maximal_blocks(free) for free in seeds])
    clamped = blocks.copy()
    clamped[:, 2] = np.minimum(blocks[:, 2], MOST_ASPECT * blocks[:, 3])
    clamped[:, 3] = np.minimum(blocks[:, 3], MOST_ASPECT * blocks[:, 2])
    left, top, width, height = clamped.T
    total = cv2.integral(miss)
    right, bottom = left + width, top + height
    missed = total[bottom, right] - total[top, right] - total[bottom, left] + total[top, left]
    useful = (missed <= WORST_SHARE * width * height) & (np.minimum(width, height) >= LEAST_SIDE_CELLS)
    return np.asarray(clamped[useful])


def maximal_blocks(free: Grid) -> Blocks:
    """All rectangles of True cells in `free` (m, n) that reach as high as they can at some bottom row.

    Every rectangle of True cells lies inside one of them: the stack method for the largest
    rectangle under a histogram, run on each row's column heights.
    """
    columns = free.shape[1]
    heights = np.zeros(columns + 1, np.int64)  # the last column stays 0: it closes what is open
    found = []
    for row, cells in enumerate(free):
        heights[:-1] = np.where(cells, heights[:-1] + 1, 0)
        starts, talls = [0], [0]
        for column, height in enumerate(heights.tolist()):
            start = column
            while talls[-1] > height:
                start, tall = starts.pop(), talls.pop()
                found.append((start, row - tall + 1, column - start, tall))
            if height > talls[-1]:
                starts.append(start)
                talls.append(height)
    return np.array(found, np.int64).reshape(-1, 4)


def _halved(reduced: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture at half the size, where it has pixels to spare: texture finer than a letter's strokes
    is no obstacle to reading.
    """
    height, width = reduced.shape[:2]
    if max(height, width) < 2 * CELLS * LEAST_CELL_PX:
        return reduced
    even = reduced[: height // 2 * 2, : width // 2 * 2]
    return np.asarray(cv2.resize(even, (width // 2, height // 2), interpolation=cv2.INTER_AREA), np.uint8)


def _grid_size(picture: NDArray[np.uint8]) -> tuple[int, int]:
    """Columns and rows of the grid over a picture (m, n, 3)."""
    height, width = picture.shape[:2]
    cell = max(height, width) / CELLS
    return max(1, round(width / cell)), max(1, round(height / cell))


def _cell_means(levels: NDArray[np.float32], size: tuple[int, int]) -> NDArray[np.float32]:
    return np.asarray(cv2.resize(levels, size, interpolation=cv2.INTER_AREA), np.float32)


def detail(reduced: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Standard deviation of the lightness about each cell, 8-bit levels, (rows, columns)."""
    grey = cv2.cvtColor(_halved(reduced), cv2.COLOR_RGB2GRAY).astype(np.float32)
    size = _grid_size(reduced)
    mean, square = (
        cv2.blur(_cell_means(levels, size), (NEIGHBOURHOOD_CELLS,) * 2) for levels in (grey, grey * grey)
    )
    return np.asarray(np.sqrt(np.maximum(square - mean * mean, 0.0)), np.float32)


def background_cells(picture: Picture, seen: Seen) -> tuple[NDArray[np.float32], float]:
    """Detail of every cell away from people, 8-bit levels (n,), and their share of all cells."""
    free = ~_occupied(seen, picture)
    return detail(picture.reduced)[free], float(free.mean())


def _occupied(seen: Seen, picture: Picture) -> Grid:
    """Cells on or next to a person."""
    columns, rows = _grid_size(picture.reduced)
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
