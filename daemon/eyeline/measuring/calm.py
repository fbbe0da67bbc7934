"""Calm rectangles beside the sitter: where a line of text can be set and read."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring import srgb
from eyeline.measuring.blocks import (
    Blocks,
    Grid,
    clamped,
    maximal_blocks,
    parts,
    relief,
    running_total,
    sums,
    sums_over_squares,
)
from eyeline.measuring.crown import PERSON, person_about
from eyeline.measuring.framing import CALM_ASPECT, COPY_SPACE_SHARE, LEAST_LINE, SAFE_MARGIN
from eyeline.pixels.halved import halved
from eyeline.terms.face import Face, Seen
from eyeline.terms.frame import Picture
from eyeline.terms.rectangle import Rectangle

CELLS = 64
"""Cells along the frame's long side: one is 1.6 % of it, about the height of small print there."""

LEAST_CELLS = 3
"""Cells along the short side of a grid or a square at the least: a curve through two is no curve."""

CELL_PX = 4
"""Pixels along a cell that its detail is judged by, whatever the picture's size: the strokes of letters two
cells high are about half a cell wide, and what is finer is no obstacle to reading."""

MOST_DETAIL = 2.3
"""Standard deviation of the colour (CIELAB 1976) about a cell up to which it is calm: one just noticeable
difference (Mahy, Van Eycken & Oosterlinck 1994, from memory)."""

MOST_RELIEF = MOST_DETAIL / 1.645
"""Standard deviation of the colour over a square, about the smooth light on it, up to which it is calm: nine
tenths of what is spread normally then stay within one just noticeable difference, and a thing that hides a
tenth of the square may differ by two. The square is as wide as the narrowest rectangle that counts, see
`_square_cells`. In the crowd every such square of all papers, gradients and walls is calm (at most 1.2), and
none of foliage or bricks with calm cells."""

NEIGHBOURHOOD_CELLS = 3
"""Cells along the square over which that deviation is taken: letters span several cells."""

LEAST_CONTRAST = 4.5
"""Contrast ratio of text at level AA (WCAG 2.2, success criterion 1.4.3)."""

DARKEST_UNDER_BLACK = LEAST_CONTRAST * srgb.VIEWING_FLARE - srgb.VIEWING_FLARE
"""Relative luminance, 0.175, from which black text reaches that contrast."""

BRIGHTEST_UNDER_WHITE = (1.0 + srgb.VIEWING_FLARE) / LEAST_CONTRAST - srgb.VIEWING_FLARE
"""Relative luminance, 0.183, up to which white text does."""

WORST_SHARE = 0.1
"""Share of a rectangle's pixels, those hardest to read on, that may miss the contrast: the worst decile's
border must reach it (docs/measures.md), while single bright specks do not spoil a wall."""

MOST_SEARCHED = 4
"""Calm rectangles, the largest, whose parts are tried too: text may be legible on a part of them only."""

LEAST_PERSON = 0.3
"""Silhouette probability from which a cell of the background is not judged: lower than even odds, since an
edge of somebody's is no detail of the background."""

BREATHING_CELLS = 2
"""Cells left free around everybody, 3 % of the long side: what a blurred edge spreads over."""

Levels = NDArray[np.float32]
Ends = tuple[float, float]
"""Left and right end of somebody, fractions of the frame's width."""


def calm_rectangles(picture: Picture, seen: Seen, head: Ends) -> tuple[Rectangle, ...]:
    """On each side of the sitter the largest calm rectangles: upright, wide, and wide enough for a line.

    `head`: left and right end of the sitter's head, fractions of the frame's width. *Beside* the sitter is
    where no part of them stands above or below, head or shoulder: what is free above a shoulder only is
    room around the head. Calm means: one colour but for smooth light, nobody there, and one colour of
    text, black or white, reaches `LEAST_CONTRAST`. `SAFE_MARGIN` stays free on all four sides.
    """
    columns, rows = _grid_size(picture.reduced)
    person = _sitter(seen)
    left_end, right_end = _ends(person, seen, picture, head)
    rooms = left_end, 1.0 - right_end
    if max(round((room - SAFE_MARGIN) * columns) for room in rooms) < _square_cells(rows, columns):
        return ()
    lightness, colours = _colours_of(picture)
    quiet = (_deviation(lightness, colours) <= MOST_DETAIL) & ~_others(person, seen, picture)
    layers = np.dstack([quiet, *_illegible(picture.reduced, (columns, rows)), colours])
    shape = picture.width / picture.height
    on_left = _beside(layers, rooms[0], shape)
    # The right side is the left one in a mirror, so that no end of a rectangle is preferred.
    on_right = _beside(layers[:, ::-1], rooms[1], shape)
    return (*on_left, *(Rectangle(1.0 - each.right, each.top, each.width, each.height) for each in on_right))


def _beside(layers: Levels, room: float, shape: float) -> list[Rectangle]:
    """The largest calm rectangles between the left edge and a sitter who leaves `room` there.

    `layers`: for each cell whether it is quiet, the shares of it on which black and on which white text
    cannot be read, and its colour, (rows, columns, 6). `shape`: the frame's width over its height.
    """
    rows, columns = layers.shape[:2]
    first, last = round(SAFE_MARGIN * columns), round((room - SAFE_MARGIN) * columns)
    upper, lower = round(SAFE_MARGIN * rows), rows - round(SAFE_MARGIN * rows)
    square = _square_cells(rows, columns)
    if min(last - first, lower - upper) < square:
        return []
    side = layers[upper:lower, first:last]
    even = relief(side[..., 3:], square) <= MOST_RELIEF
    blocks = _legible_blocks(side[..., 0] > 0, even, side[..., 1:3])
    across = np.array([SAFE_MARGIN, *(np.arange(first + 1, last) / columns), room - SAFE_MARGIN])
    down = np.array([SAFE_MARGIN, *(np.arange(upper + 1, lower) / rows), 1.0 - SAFE_MARGIN])
    return _largest_of_each_kind(blocks, across, down, shape)


def _largest_of_each_kind(
    blocks: Blocks, across: NDArray[np.float64], down: NDArray[np.float64], shape: float
) -> list[Rectangle]:
    """`across`, `down`: where the cells' borders lie in the frame, fractions of its width and height."""
    left, top, width, height = blocks.T
    x, y = across[left], down[top]
    wide, high = across[left + width] - x, down[top + height] - y
    wide, high = np.minimum(wide, CALM_ASPECT * high / shape), np.minimum(high, CALM_ASPECT * wide * shape)
    area, is_upright = wide * high, wide * shape < high
    found: list[Rectangle] = []
    for kind in (is_upright, ~is_upright, wide >= LEAST_LINE):
        if kind.any():
            at = int(np.where(kind, area, 0.0).argmax())
            rectangle = Rectangle(float(x[at]), float(y[at]), float(wide[at]), float(high[at]))
            if rectangle not in found:
                found.append(rectangle)
    return found


def _square_cells(rows: int, columns: int) -> int:
    """Width in cells of the narrowest rectangle that counts as copy space."""
    by_area = np.sqrt(COPY_SPACE_SHARE * rows * columns / CALM_ASPECT)
    return int(max(by_area, LEAST_LINE * columns, LEAST_CELLS))


def _legible_blocks(quiet: Grid, even: Grid, misses: Levels) -> Blocks:
    """Calm rectangles that black text, or else white text, can be read on.

    `even`: whether the square that begins at a cell is calm as a whole. `misses`: shares of each cell where
    black and where white text cannot be read, (rows, columns, 2).
    """
    missed, square = running_total(misses), quiet.shape[0] - even.shape[0] + 1
    found = _blocks_of_squares(even, quiet)
    unread = found[~_is_legible(found, missed)]
    largest = unread[np.argsort(unread[:, 2] * unread[:, 3])[-MOST_SEARCHED:]]
    # Where all that is calm is readable too, as on most backdrops, the same blocks would be found again.
    readable = [quiet & (misses[..., color] <= WORST_SHARE) for color in (0, 1)]
    further = [_blocks_of_squares(even, free) for free in readable if free.any() and (free != quiet).any()]
    blocks = clamped(np.vstack([found, parts(largest), *further]), CALM_ASPECT)
    blocks = blocks[blocks[:, 2:].min(axis=1) >= square]
    return np.asarray(blocks[_is_legible(blocks, missed)])


def _is_legible(blocks: Blocks, missed: NDArray[np.float64]) -> Grid:
    """Whether one colour of text can be read on each of `blocks`; `missed`: running totals of misses."""
    area = blocks[:, 2] * blocks[:, 3]
    return np.asarray(sums(missed, blocks).min(axis=1) <= WORST_SHARE * area)


def _blocks_of_squares(even: Grid, free: Grid) -> Blocks:
    """The maximal rectangles made of overlapping squares that are `even` and of `free` cells throughout."""
    square = free.shape[0] - even.shape[0] + 1
    taken = sums_over_squares((~free).astype(np.float32), square)
    blocks = maximal_blocks(even & (taken == 0))
    blocks[:, 2:] += square - 1
    return blocks


def _ends(person: Grid, seen: Seen, picture: Picture, head: Ends) -> Ends:
    """Left and right end of the sitter, head and body, fractions of the frame's width."""
    taken = np.flatnonzero(person.any(axis=0))
    if seen.body is None or taken.size == 0:
        return head
    pixel = (seen.body.right - seen.body.left) / person.shape[1]
    left, right = seen.body.left + taken[0] * pixel, seen.body.left + (taken[-1] + 1) * pixel
    return min(head[0], left / picture.width), max(head[1], right / picture.width)


def _sitter(seen: Seen) -> Grid:
    """The sitter's own part of the silhouette of the frame; nothing where it cannot be told."""
    if seen.body is None or seen.sitter is None or seen.sitter.landmarks is None:
        return np.zeros((1, 1), np.bool_)
    person = person_about(seen.body, seen.sitter.landmarks)
    return np.zeros((1, 1), np.bool_) if person is None else person


def _others(person: Grid, seen: Seen, picture: Picture) -> Grid:
    """Cells on or next to people who are not the sitter, of whom `person` is the silhouette."""
    people = None if seen.body is None else (seen.body.probability > PERSON) & ~person
    return _occupied(people, [face for face in seen.faces if face is not seen.sitter], picture)


def _deviation(lightness: Levels, colours: Levels) -> Levels:
    """Standard deviation of the colour about each cell, CIELAB 1976, (rows, columns).

    What a plane through the neighbourhood explains is left out: light that falls off evenly over a backdrop
    is no obstacle to reading, as long as one colour of text stays legible, which is asked elsewhere.
    """
    squares = colours * colours
    squares[..., 0] = _means(lightness * lightness, (colours.shape[1], colours.shape[0]))
    size = (NEIGHBOURHOOD_CELLS,) * 2
    mean = cv2.blur(colours, size)
    variance = cv2.blur(squares, size) - mean * mean
    # A plane of slope s over a width of w has a variance of s² w² / 12.
    for slope in np.gradient(colours, axis=(0, 1)):
        variance -= cv2.blur(np.asarray(slope), size) ** 2 * (NEIGHBOURHOOD_CELLS**2 / 12)
    return np.asarray(np.sqrt(np.maximum(variance, 0.0).sum(axis=2)), np.float32)


def _colours_of(picture: Picture) -> tuple[Levels, Levels]:
    """`_colours` of the picture: asked for when calm rectangles are sought, and again for the background."""
    return picture.once(_colours, lambda: _colours(picture.reduced))


def _colours(reduced: NDArray[np.uint8]) -> tuple[Levels, Levels]:
    """Lightness L* of `CELL_PX` pixels along each cell, and the mean colour of each cell, CIELAB 1976."""
    columns, rows = _grid_size(reduced)
    tile = reduced
    while min(tile.shape[0] / rows, tile.shape[1] / columns) >= 2 * CELL_PX:
        tile = halved(tile)
    tile = np.asarray(cv2.resize(tile, (columns * CELL_PX, rows * CELL_PX)), np.uint8)
    lightness = np.asarray(cv2.LUT(cv2.cvtColor(tile, cv2.COLOR_RGB2GRAY), _lightness_of_grey()), np.float32)
    colours = np.asarray(cv2.cvtColor(_means(tile, (columns, rows)) / 255, cv2.COLOR_RGB2LAB), np.float32)
    # The lightness of the mean is not the mean of the lightness, from which the deviation counts.
    colours[..., 0] = _means(lightness, (columns, rows))
    return lightness, colours


@cache
def _lightness_of_grey() -> Levels:
    """L* of every 8-bit grey in sRGB, (256,)."""
    greys = (np.arange(256, dtype=np.float32) / 255)[:, None].repeat(3, 1)
    return np.asarray(cv2.cvtColor(greys[None], cv2.COLOR_RGB2LAB)[0, :, 0])


def _illegible(reduced: NDArray[np.uint8], size: tuple[int, int]) -> tuple[Levels, Levels]:
    """Share of each cell's pixels on which black text and on which white cannot be read."""
    samples = cv2.resize(
        reduced, (size[0] * CELL_PX, size[1] * CELL_PX), interpolation=cv2.INTER_NEAREST_EXACT
    )
    light = srgb.luminance(np.asarray(samples, np.uint8))
    black, white = light < DARKEST_UNDER_BLACK, light > BRIGHTEST_UNDER_WHITE
    return _means(black.astype(np.float32), size), _means(white.astype(np.float32), size)


def _means(levels: NDArray[np.uint8] | Levels, size: tuple[int, int]) -> Levels:
    return np.asarray(cv2.resize(levels.astype(np.float32), size, interpolation=cv2.INTER_AREA))


def _grid_size(picture: NDArray[np.uint8]) -> tuple[int, int]:
    """Columns and rows of the grid over a picture (m, n, 3)."""
    height, width = picture.shape[:2]
    cell = max(height, width) / CELLS
    return max(LEAST_CELLS, round(width / cell)), max(LEAST_CELLS, round(height / cell))


def background_cells(picture: Picture, seen: Seen) -> tuple[Levels, float]:
    """Detail of every cell away from people, CIELAB 1976 (n,), and their share of all cells."""
    people = None if seen.body is None else seen.body.probability > LEAST_PERSON
    free = ~_occupied(people, seen.faces, picture)
    return _deviation(*_colours_of(picture))[free], float(free.mean())


def _occupied(people: Grid | None, faces: Sequence[Face], picture: Picture) -> Grid:
    """Cells on or next to somebody: of the silhouette `people`, over the whole frame, or of `faces`."""
    columns, rows = _grid_size(picture.reduced)
    occupied = np.zeros((rows, columns), np.uint8)
    if people is not None:
        occupied |= (_means(people.astype(np.float32), (columns, rows)) > 0).astype(np.uint8)
    for face in faces:
        left, top, right, bottom = face.box
        x0, x1 = int(left / picture.width * columns), int(np.ceil(right / picture.width * columns))
        y0, y1 = int(top / picture.height * rows), int(np.ceil(bottom / picture.height * rows))
        occupied[max(0, y0) : max(0, y1), max(0, x0) : max(0, x1)] = 1
    kernel = np.ones((2 * BREATHING_CELLS + 1,) * 2, np.uint8)
    return np.asarray(cv2.dilate(occupied, kernel) > 0)
