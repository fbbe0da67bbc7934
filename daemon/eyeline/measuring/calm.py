"""Calm rectangles beside the sitter: where a line of text can be set and read."""

from __future__ import annotations

from functools import cache

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
"""Standard deviation of the lightness (8-bit sRGB grey) up to which a cell, and a rectangle of cells, is
calm once the smooth light on it is taken out. On the bundled shoot paper, painted gradients and walls stay
below it, foliage and office do not."""

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

SMALLER = 0.95
"""Share of a rectangle's area from which the next is tried when it is not calm as a whole: neighbours of
one that fails fail as a rule, and a busy background has hundreds."""

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
    lightness = _cell_means(_grey(picture.reduced), (columns, rows))
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
            block = _calmest_as_a_whole(kind + np.array([first, 0, 0, 0]), lightness)
            if block is not None:
                left, top, width, height = block
                found.append(Rectangle(left / columns, top / rows, width / columns, height / rows))
    return tuple(found)


def _calmest_as_a_whole(blocks: Blocks, lightness: NDArray[np.float32]) -> list[int] | None:
    """The largest of `blocks` whose `relief` is calm, to within `SMALLER` of its area; None without one."""
    smallest_first = blocks[np.argsort(blocks[:, 2] * blocks[:, 3], kind="stable")]
    areas = smallest_first[:, 2] * smallest_first[:, 3]
    tried = len(areas) - 1
    while tried >= 0:
        left, top, width, height = smallest_first[tried].tolist()
        if relief(lightness[top : top + height, left : left + width]) <= MOST_DETAIL:
            return [left, top, width, height]
        tried = int(np.searchsorted(areas, SMALLER * areas[tried], side="right")) - 1
    return None


def relief(lightness: NDArray[np.float32]) -> float:
    """Standard deviation of lightness (m, n) about the smooth light on it, in the same levels.

    Smooth is what a surface of second degree explains (least squares, through its orthonormal polynomials):
    a lamp's pool and its fall, but no window frame, shelf or crowd, however far out of focus.
    """
    rows, columns = lightness.shape
    coefficients = _polynomials(rows).T @ lightness @ _polynomials(columns)
    by_degree = np.add.outer(np.arange(3), np.arange(3))
    explained = float((coefficients[by_degree <= 2] ** 2).sum())
    unexplained = float((lightness.astype(np.float64) ** 2).sum()) - explained
    return float(np.sqrt(max(unexplained, 0.0) / lightness.size))


@cache
def _polynomials(places: int) -> NDArray[np.float64]:
    """Orthonormal polynomials of degree 0, 1 and 2 over so many places in a row, (places, 3)."""
    powers = np.linspace(-1, 1, places)[:, None] ** np.arange(3)
    return np.asarray(np.linalg.qr(powers)[0])


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


def _grey(reduced: NDArray[np.uint8]) -> NDArray[np.float32]:
    return cv2.cvtColor(_halved(reduced), cv2.COLOR_RGB2GRAY).astype(np.float32)


def _grid_size(picture: NDArray[np.uint8]) -> tuple[int, int]:
    """Columns and rows of the grid over a picture (m, n, 3)."""
    height, width = picture.shape[:2]
    cell = max(height, width) / CELLS
    return max(1, round(width / cell)), max(1, round(height / cell))


def _cell_means(levels: NDArray[np.float32], size: tuple[int, int]) -> NDArray[np.float32]:
    return np.asarray(cv2.resize(levels, size, interpolation=cv2.INTER_AREA), np.float32)


def detail(reduced: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Standard deviation of the lightness about each cell, 8-bit levels, (rows, columns).

    What a plane through the neighbourhood explains is left out: light that falls off evenly over a backdrop
    is no obstacle to reading, as long as one colour of text stays legible, which is asked elsewhere.
    """
    grey = _grey(reduced)
    size = _grid_size(reduced)
    means = _cell_means(grey, size)
    mean, square = (
        cv2.blur(levels, (NEIGHBOURHOOD_CELLS,) * 2) for levels in (means, _cell_means(grey * grey, size))
    )
    slopes = (cv2.blur(slope, (NEIGHBOURHOOD_CELLS,) * 2) for slope in np.gradient(means))
    # A plane of slope s over a width of w has a variance of s² w² / 12.
    plane = sum(slope * slope for slope in slopes) * (NEIGHBOURHOOD_CELLS**2 / 12)
    return np.asarray(np.sqrt(np.maximum(square - mean * mean - plane, 0.0)), np.float32)


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
