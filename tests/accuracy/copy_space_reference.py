"""Copy space by the contract's own words, on what is known of a rendered frame: a second, slow opinion.

The contract of measures: the side with a calm rectangle of at least 12 % of the frame's area, between 1:3
and 3:1, on which black or white text reaches 4.5:1 at its worst pixel decile. Here the sitter is the true
mask, not a model's; calm is what the background was painted to be, not what a filter thinks of it; light is
scikit-image's; and every rectangle of a grid is tried. Nothing of eyeline's own is used.

What the contract leaves open is read as eyeline states it: *beside* the sitter is where the mask leaves
columns free from top to bottom; 5 % of the frame stays free along its edges and as much beside the sitter
(graphics safe area of EBU R 95); a line of text needs 20 % of the width, with the margins the 30 % that the
sets' own description calls an empty side.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
from skimage import color, io, transform, util

from tests.accuracy.portraits import SHARED, Portrait

CALM_BACKGROUNDS = frozenset({"paper", "gradient", "wall"})
"""Calm all over by the description of the sets."""

NEVER_CALM = frozenset({"brick"})
"""Its courses run through the side that is kept free of clutter as well: looked at, they are no ground for
a line of text."""

LONG_SIDE_CELLS = 50
"""Grid on which rectangles are tried: a cell is about 2 % of the long side."""

PIXELS_A_CELL = 8

LEAST_SHARE, MOST_ASPECT, LEAST_CONTRAST, WORST_SHARE = 0.12, 3.0, 4.5, 0.1
MARGIN, LEAST_LINE = 0.05, 0.2


def mask_of(portrait: Portrait) -> Path | None:
    """The sitter's true mask: beside the frames, for the bundled shoot in the shared set that it is of."""
    places = (portrait.path.parent, SHARED / "portraits" / "demo")
    paths = (place / portrait.truth["mask"] for place in places)
    return next((path for path in paths if path.is_file()), None)


@cache
def copy_space_by_contract(portrait: Portrait) -> tuple[float, float]:
    """Largest calm and legible rectangle left and right of the sitter, shares of the frame's area."""
    mask = _sitter(portrait)
    columns, taken = mask.shape[1], np.flatnonzero((mask > 0.5).any(axis=0))
    ends = (MARGIN, taken[0] / columns - MARGIN), ((taken[-1] + 1) / columns + MARGIN, 1 - MARGIN)
    truth = portrait.truth
    shares = []
    for (left, right), name in zip(ends, ("left", "right"), strict=True):
        calm = truth["background"] in CALM_BACKGROUNDS or (
            truth["background_clear_side"] == name and truth["background"] not in NEVER_CALM
        )
        shares.append(_largest_legible(portrait, left, right) if calm and right - left >= LEAST_LINE else 0.0)
    return shares[0], shares[1]


def word(shares: tuple[float, float]) -> str:
    """The word of the contract for the shares left and right."""
    left, right = (share >= LEAST_SHARE for share in shares)
    return "both" if left and right else "left" if left else "right" if right else "none"


def _largest_legible(portrait: Portrait, left: float, right: float) -> float:
    """The largest rectangle that text can be read on between two heights and two columns of the frame."""
    light = _light(portrait)
    rows, columns = light.shape
    part = light[
        round(MARGIN * rows) : round((1 - MARGIN) * rows), round(left * columns) : round(right * columns)
    ]
    cell = max(light.shape) / LONG_SIDE_CELLS
    high, wide = (max(1, round(side / cell)) for side in part.shape)
    part = transform.resize(part, (high * PIXELS_A_CELL, wide * PIXELS_A_CELL))
    cells = util.view_as_blocks(np.ascontiguousarray(part), (PIXELS_A_CELL, PIXELS_A_CELL))
    # Black text needs 4.5 × 0.05 − 0.05 at the least below it, white text 1.05 / 4.5 − 0.05 at the most.
    misses = [
        _running_total((cells < LEAST_CONTRAST * 0.05 - 0.05).mean(axis=(2, 3))),
        _running_total((cells > 1.05 / LEAST_CONTRAST - 0.05).mean(axis=(2, 3))),
    ]
    across, down = (right - left) / wide, (1 - 2 * MARGIN) / high
    shape = columns / rows * across / down
    sizes = [
        (m, n)
        for m in range(1, high + 1)
        for n in range(1, wide + 1)
        if 1 / MOST_ASPECT <= n * shape / m <= MOST_ASPECT and n * across >= LEAST_LINE
    ]
    for m, n in sorted(sizes, key=lambda size: size[0] * size[1], reverse=True):
        if any((_inside(missed, m, n) <= WORST_SHARE * m * n).any() for missed in misses):
            return m * down * n * across
    return 0.0


def _running_total(values: np.ndarray) -> np.ndarray:
    return np.pad(values.astype(float).cumsum(0).cumsum(1), ((1, 0), (1, 0)))


def _inside(total: np.ndarray, height: int, width: int) -> np.ndarray:
    """Sums over every rectangle of that size."""
    upper, lower = total[:-height], total[height:]
    return lower[:, width:] - upper[:, width:] - lower[:, :-width] + upper[:, :-width]


def _light(portrait: Portrait) -> np.ndarray:
    """Relative luminance, the Y of CIE XYZ, of the upright frame, brought down by a whole number."""
    rgb = io.imread(portrait.path)
    turns = {1: 0, 3: 2, 6: 3, 8: 1}[portrait.truth["orientation"]]
    if (portrait.truth["stored_width"], portrait.truth["stored_height"]) == rgb.shape[1::-1]:
        rgb = np.rot90(rgb, turns)
    factor = max(1, max(rgb.shape) // (LONG_SIDE_CELLS * PIXELS_A_CELL))
    return color.rgb2xyz(transform.downscale_local_mean(rgb, (factor, factor, 1)) / 255)[..., 1]


def _sitter(portrait: Portrait) -> np.ndarray:
    path = mask_of(portrait)
    assert path is not None, f"no mask of {portrait.path.name} is at hand"
    return util.img_as_float(io.imread(path))
