"""How far up hair reaches by its colour, where the silhouette model rounds it off or takes it for background.

The colours of the hair that the silhouette is sure of are set against those of the background beside the
head. Where the two differ, the rows above are hair or air by their own colours: what no model of people
needs to know.
"""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.pixels.halved import halved
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture

Mask = NDArray[np.bool_]
Shares = NDArray[np.float32]

FACE_PX = 100.0
"""Height of a face, forehead to chin, in the picture that is looked at: a row is 1 % of it."""

BESIDE = 1.2
"""Background is looked at so far to each side of the face, in face widths."""

ABOVE = 0.25
"""Hair is looked for so far beyond the landmarks at each side, in face widths."""

CLEAR_OF_HEAD = 0.1
"""Background begins so far beyond the landmarks at each side, in face widths: above them hair may go on."""

PERSON, AIR = 0.8, 0.2
"""Silhouette probabilities from which a place is hair for certain, and up to which it is background."""

ALONG_EDGE_PX = 2
"""Places so near to what may be a person are no certain background, in pixels of the picture looked at."""

HAIR_FACES = 0.25
"""The uppermost part of the silhouette that gives the colours of hair, in face heights."""

LEAST_PLACES = 60
"""Places of hair and of background below which their colours are not known."""

LEVELS_SHIFT = 4
"""Each channel in steps of 16 levels: finer ones would be empty, with some thousand places to count."""

NEVER_SEEN = 1e-5
"""Added to every share: a colour seen in neither is neither."""

SURELY = 0.9
"""Probability, with hair and background alike likely beforehand, from which a place is hair."""

MOST_MISTAKEN, LEAST_KNOWN = 0.03, 0.5
"""Share of the background that may look like hair, and of the hair that must: else colours do not part the
two. Over 936 cuts of real portraits and studio pictures in 20 these hold in 19 of 20."""

LEAST_WIDTH = 0.25
"""Width of hair in a row, in face widths: narrower is a bright leaf, or a lamp, of the hair's colour."""


def hair_top(
    picture: Picture, head: Silhouette, points: NDArray[np.float32], top: float, face: float
) -> float | None:
    """Topmost y of the hair, in pixels of the full-size picture; None where colours do not tell.

    `top`: where the silhouette `head` ends; `points` (478, 3): landmarks; `face`: forehead to chin in pixels.
    """
    left, right = float(points[:468, 0].min()), float(points[:468, 0].max())
    width = right - left
    bottom = max(top + HAIR_FACES * face, top + 1)
    area = (max(0.0, left - BESIDE * width), 0.0, min(float(picture.width), right + BESIDE * width), bottom)
    scale = min(FACE_PX / face, picture.reduced.shape[0] / picture.height)
    size = round((area[2] - area[0]) * scale), round(min(bottom, picture.height) * scale)
    if min(size) < 2:
        return None
    rgb, person = _looked_at(picture, area, size), _probability(head, area, size, scale)
    across = area[0] + (np.arange(size[0]) + 0.5) / scale
    central = (across > left - ABOVE * width) & (across < right + ABOVE * width)
    clear = (across < left - CLEAR_OF_HEAD * width) | (across > right + CLEAR_OF_HEAD * width)
    edge = np.ones((2 * ALONG_EDGE_PX + 1,) * 2, np.uint8)
    air = (cv2.dilate((person > AIR).astype(np.uint8), edge) == 0) & clear
    hair = (person > PERSON) & central
    hair[: int(max(0.0, top) * scale)] = False
    if min(int(hair.sum()), int(air.sum())) < LEAST_PLACES:
        return None
    looks_like_hair = _looks_like(rgb, hair, air)
    known, mistaken = (np.count_nonzero(looks_like_hair & place) for place in (hair, air))
    if mistaken > MOST_MISTAKEN * np.count_nonzero(air) or known < LEAST_KNOWN * np.count_nonzero(hair):
        return None
    wide = (looks_like_hair & central).sum(axis=1) > LEAST_WIDTH * width * scale
    row = min(int(max(0.0, top) * scale) + 4, len(wide) - 1)
    while row > 0 and wide[row - 1]:
        row -= 1
    return float(row / scale)


def _looked_at(
    picture: Picture, area: tuple[float, float, float, float], size: tuple[int, int]
) -> NDArray[np.uint8]:
    """The part of the picture within `area` (pixels of the full size), averaged to `size`."""
    reduction = picture.reduced.shape[0] / picture.height
    left, top, right, bottom = (round(edge * reduction) for edge in area)
    part = picture.reduced[top : max(bottom, top + 1), left : max(right, left + 1)]
    while part.shape[0] >= 2 * size[1] and part.shape[1] >= 2 * size[0]:
        part = halved(part)
    small = cv2.resize(part, size, interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.GaussianBlur(small, (3, 3), 0), np.uint8)


def _probability(
    head: Silhouette, area: tuple[float, float, float, float], size: tuple[int, int], scale: float
) -> Shares:
    """The silhouette's probability (m, n) within `area`, brought to `size` (n, m)."""
    rows, columns = head.probability.shape
    across = columns / (head.right - head.left)
    down = rows / (head.bottom - head.top)
    there = np.array(
        [
            [across / scale, 0.0, (area[0] - head.left) * across],
            [0.0, down / scale, (area[1] - head.top) * down],
        ]
    )
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return np.asarray(cv2.warpAffine(head.probability, there, size, flags=flags), np.float32)


def _looks_like(rgb: NDArray[np.uint8], hair: Mask, air: Mask) -> Mask:
    """Where the colours of `rgb` (m, n, 3) are those of `hair` (m, n) rather than those of `air` (m, n)."""
    count = 256 >> LEVELS_SHIFT
    steps = (rgb >> LEVELS_SHIFT).astype(np.float32)
    place = (steps @ np.array([count**2, count, 1], np.float32)).astype(np.intp)
    of_hair, of_air = (_shares(place, mask, count) + NEVER_SEEN for mask in (hair, air))
    return np.asarray((of_hair > SURELY * (of_hair + of_air)).take(place))


def _shares(places: NDArray[np.intp], mask: Mask, count: int) -> Shares:
    """Share of each colour (count³,) in a `mask` (m, n), which holds some of `places` (m, n), each spread a
    little over its neighbours.
    """
    # Counting all with weights is quicker than picking what counts.
    counts = np.bincount(places.ravel(), mask.ravel(), count**3).reshape((count,) * 3) / mask.sum()
    spread = _spread(count)
    # The product spreads along the last two axes, the other along the first.
    return np.asarray(np.tensordot(spread, spread @ counts @ spread, 1).ravel(), np.float32)


@cache
def _spread(count: int) -> NDArray[np.float64]:
    """What leaves half of each of `count` values in its place and a quarter on either side, (count, count).

    The last is beside the first.
    """
    one = np.eye(count)
    return (np.roll(one, 1, axis=0) + 2 * one + np.roll(one, -1, axis=0)) / 4
