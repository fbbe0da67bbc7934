"""Copy space by the contract's own words, on what is known of a rendered frame: a second, slow opinion.

The contract of measures: the side with a calm rectangle of at least 12 % of the frame's area, between 1:3
and 3:1, on which black or white text reaches 4.5:1 at its worst pixel decile. Here the sitter is the true
mask, not a model's; calm is what the background was painted to be, not what a filter thinks of it; light is
scikit-image's; and every rectangle of a grid is tried. Nothing of eyeline's own is used. Two margins that
the contract leaves open are those that eyeline states: 5 % of the frame free along its edges (graphics safe
area of EBU R 95), 3 % of its long side free about the sitter.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
from scipy import ndimage
from skimage import color, io, transform, util

from tests.accuracy.portraits import SHARED, Portrait

CALM_BACKGROUNDS = frozenset({"paper", "gradient", "wall"})
"""Calm all over by the description of the sets."""

NEVER_CALM = frozenset({"brick"})
"""Its courses run through the side that is kept free of clutter as well: looked at, they are no ground for
a line of text."""

LONG_SIDE_CELLS = 40
"""Grid on which rectangles are tried: a cell is 2.5 % of the long side."""

PIXELS_A_CELL = 8

LEAST_SHARE, MOST_ASPECT, LEAST_CONTRAST, WORST_SHARE = 0.12, 3.0, 4.5, 0.1
EDGE_MARGIN, SITTER_MARGIN = 0.05, 0.03


def mask_of(portrait: Portrait) -> Path | None:
    """The sitter's true mask: beside the frames, for the bundled shoot in the shared set that it is of."""
    places = (portrait.path.parent, SHARED / "portraits" / "demo")
    paths = (place / portrait.truth["mask"] for place in places)
    return next((path for path in paths if path.is_file()), None)


@cache
def copy_space_by_contract(portrait: Portrait) -> tuple[float, float]:
    """Largest calm and legible rectangle left and right of the sitter, shares of the frame's area."""
    truth = portrait.truth
    height, width = truth["height"], truth["width"]
    scale = LONG_SIDE_CELLS / max(height, width)
    rows, columns = round(height * scale), round(width * scale)
    size = rows * PIXELS_A_CELL, columns * PIXELS_A_CELL
    light = _light(portrait, size)
    free = _cells(~_sitter(portrait, size), rows, columns).min(axis=(2, 3))
    margin_y, margin_x = int(np.ceil(EDGE_MARGIN * rows)), int(np.ceil(EDGE_MARGIN * columns))
    free[:margin_y] = free[rows - margin_y :] = False
    free[:, :margin_x] = free[:, columns - margin_x :] = False
    middle = truth["people"][0]["eye_x"] * columns
    cells = _cells(light, rows, columns)
    # Black text needs 4.5 × 0.05 − 0.05 at the least below it, white text 1.05 / 4.5 − 0.05 at the most.
    misses = [
        (cells < LEAST_CONTRAST * 0.05 - 0.05).mean(axis=(2, 3)),
        (cells > 1.05 / LEAST_CONTRAST - 0.05).mean(axis=(2, 3)),
    ]
    left, right = free.copy(), free.copy()
    left[:, int(np.ceil(middle)) :] = False
    right[:, : int(middle)] = False
    shares = []
    for side, name in ((left, "left"), (right, "right")):
        calm = truth["background"] in CALM_BACKGROUNDS or (
            truth["background_clear_side"] == name and truth["background"] not in NEVER_CALM
        )
        best = max(_largest(side, miss) for miss in misses) if calm else 0
        shares.append(best / (rows * columns))
    return shares[0], shares[1]


def word(shares: tuple[float, float]) -> str:
    """The word of the contract for the shares left and right."""
    left, right = (share >= LEAST_SHARE for share in shares)
    return "both" if left and right else "left" if left else "right" if right else "none"


def _largest(free: np.ndarray, miss: np.ndarray) -> int:
    """Cells of the largest rectangle of `free` (m, n) over which `miss` averages the worst share or less."""
    rows, columns = free.shape
    blocked, missed = _running_total(~free), _running_total(miss)
    sizes = [
        (height, width)
        for height in range(1, rows + 1)
        for width in range(1, columns + 1)
        if 1 / MOST_ASPECT <= width / height <= MOST_ASPECT
    ]
    for height, width in sorted(sizes, key=lambda size: size[0] * size[1], reverse=True):
        usable = _inside(blocked, height, width) == 0
        if usable.any() and (usable & (_inside(missed, height, width) <= WORST_SHARE * height * width)).any():
            return height * width
    return 0


def _running_total(values: np.ndarray) -> np.ndarray:
    return np.pad(values.astype(float).cumsum(0).cumsum(1), ((1, 0), (1, 0)))


def _inside(total: np.ndarray, height: int, width: int) -> np.ndarray:
    """Sums over every rectangle of that size."""
    upper, lower = total[:-height], total[height:]
    return lower[:, width:] - upper[:, width:] - lower[:, :-width] + upper[:, :-width]


def _cells(pixels: np.ndarray, rows: int, columns: int) -> np.ndarray:
    """The pixels (m, n) as (rows, columns, pixels down, pixels across)."""
    return util.view_as_blocks(np.ascontiguousarray(pixels), (PIXELS_A_CELL, PIXELS_A_CELL))[:rows, :columns]


def _light(portrait: Portrait, size: tuple[int, int]) -> np.ndarray:
    """Relative luminance, the Y of CIE XYZ, of the frame brought to `size`."""
    rgb = io.imread(portrait.path)
    turns = {1: 0, 3: 2, 6: 3, 8: 1}[portrait.truth["orientation"]]
    if (portrait.truth["stored_width"], portrait.truth["stored_height"]) == rgb.shape[1::-1]:
        rgb = np.rot90(rgb, turns)
    factor = max(1, min(rgb.shape[0] // size[0], rgb.shape[1] // size[1]))
    smaller = transform.downscale_local_mean(rgb, (factor, factor, 1)) / 255
    return color.rgb2xyz(transform.resize(smaller, size))[..., 1]


def _sitter(portrait: Portrait, size: tuple[int, int]) -> np.ndarray:
    path = mask_of(portrait)
    assert path is not None, f"no mask of {portrait.path.name} is at hand"
    mask = io.imread(path)
    person = transform.resize(mask, size) > 0.5
    return ndimage.distance_transform_edt(~person) <= SITTER_MARGIN * LONG_SIDE_CELLS * PIXELS_A_CELL
