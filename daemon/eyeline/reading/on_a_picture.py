"""Whether a face belongs to a picture within the scene: a poster, a framed print, a screen."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.reading.crop import square
from eyeline.terms.frame import Picture

Edges = NDArray[np.bool_]

PATCH_PX, PATCH_FACES = 320, 6.0
"""Side of the square that is looked at, in pixels and in heights of the face box: the face is 53 pixels high
there, a border of a fortieth of it one."""

LEAST_STEP = 10.0
"""8-bit levels by which the sides of a border differ at the least, over two pixels."""

UNBROKEN = 0.9
"""Share of a border's length on which that step is there: corners are round, glass reflects."""

SAME_BORDER_PX = 2
"""Places of a patch no farther apart are one border: a step widened by one to both sides."""

NEAREST_FACES = 0.1
"""A border is at least so far from the face box, in its heights: a chin or a collar is no border."""


def is_on_a_picture(picture: Picture, box: tuple[float, float, float, float]) -> bool:
    """Whether straight, unbroken, upright borders close a rectangle about the face in `box`.

    The lower one is what tells: before whoever stands in the scene a chest would interrupt it.
    """
    height = box[3] - box[1]
    centre = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    patch = square(picture, centre, PATCH_FACES * height, PATCH_PX)
    grey = cv2.cvtColor(patch.rgb, cv2.COLOR_RGB2GRAY).astype(np.float32)
    across, down = (
        np.abs(cv2.Sobel(grey, cv2.CV_32F, *order, ksize=1)) > LEAST_STEP for order in ((1, 0), (0, 1))
    )
    # A border between two pixels or a little aslant moves by one: its neighbours count as well.
    upright, level = _thick(across, 1), _thick(down.T, 1)
    left, top, right, bottom = (
        int((edge - start) / patch.scale)
        for edge, start in zip(box, (patch.left, patch.top) * 2, strict=True)
    )
    away = round(NEAREST_FACES * height / patch.scale)
    beside = upright[max(0, top) : bottom].mean(axis=0) >= UNBROKEN
    lefts = np.flatnonzero(beside[: max(0, left - away)])
    rights = np.flatnonzero(beside[right + away :]) + right + away
    for first in _apart(lefts[::-1]):
        for last in _apart(rights):
            rows = level[first : last + 1].mean(axis=0) >= UNBROKEN
            above, below = np.flatnonzero(rows[: max(0, top)]), np.flatnonzero(rows[bottom + away :])
            if above.size and below.size:
                sides = upright[above[-1] : bottom + away + below[0], [first, last]].mean(axis=0)
                if sides.min() >= UNBROKEN:
                    return True
    return False


def _thick(edges: Edges, reach: int) -> Edges:
    """`edges` widened by `reach` columns to both sides."""
    kernel = np.ones((1, 2 * reach + 1), np.uint8)
    return np.asarray(cv2.dilate(edges.astype(np.uint8), kernel) > 0)


def _apart(places: NDArray[np.intp]) -> list[int]:
    """One of each run of neighbours."""
    kept: list[int] = []
    for place in places.tolist():
        if not kept or abs(place - kept[-1]) > SAME_BORDER_PX:
            kept.append(place)
    return kept
