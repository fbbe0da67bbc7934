"""The top of the head with hair, and the head's sides, from the silhouettes about the sitter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.hair_colour import hair_top
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture

Box = tuple[float, float, float, float]
"""Left, top, right, bottom in pixels of the full-size picture."""

PERSON = 0.5
"""Probability from which a silhouette pixel counts as person: the model's even odds."""

LEAST_WIDTH = 0.12
"""Width that the silhouette has at the crown, in face widths: finer tips are single locks or leaks."""

SIDE_REACH = 0.25
"""How far beyond the landmarks' own width hair is followed upward, in face widths on each side."""

SIDE_HAIR = 0.12
"""Hair and ear beyond the landmarks at each side, in face widths: head breadth is 1.08 of the
bizygomatic breadth (ANSUR II), hair adds to it."""

MOST_SIDE_HAIR = 0.75
"""The same at the most: of 206 real heads, long and full hair among them, none reaches farther than 0.6."""

MOST_DISAGREEMENT = 0.05
"""Head crop and whole frame may place the crown this far apart, in face heights (forehead to chin),
beside one row of the coarser; beyond it the crown is in doubt (99 % of the shoot's frames: within 4 %)."""

TOUCHING_ROWS = 1.5
"""Rows of a silhouette between hair and the top edge below which the frame cuts the head: the model
rounds the outline off where the frame ends."""

LEAST_SKULL = 0.15
"""What a skull reaches beyond the landmarks' top at the least, in face heights (forehead to chin): of 200
real heads, bald ones among them, none less than 0.22. A frame that ends below cuts it."""

TOP = 10
"""Landmark at the top of the forehead."""

CHIN = 152
"""Landmark at the chin's lowest point."""

INNER_FACE = (1, 9, 168)
"""Nose tip, glabella and nasion: from their height the silhouette is followed upward."""

BROWS = (105, 334)
"""Landmarks on the upper edge of both brows."""

LIPS = (13, 14)
"""Landmarks between the lips."""


@dataclass(frozen=True, slots=True)
class Crown:
    """`y` in pixels from the frame's top, None with the reason in `missing`; 0 where `cut`."""

    y: float | None
    cut: bool
    missing: str | None


def crown(picture: Picture, points: NDArray[np.float32], head: Silhouette, body: Silhouette) -> Crown:
    """Topmost row of hair or headwear above the face with landmarks `points` (478, 3).

    Where the silhouette leaves room above the head, the colours there say whether it is hair nevertheless.
    """
    close, wide = _top(head, points), _top(body, points)
    if close is None:
        return Crown(None, False, "the silhouette does not cover the face")
    one_row = max(_pixel_size(head)[0], _pixel_size(body)[0])
    face = float(points[CHIN, 1] - points[TOP, 1])
    if close <= TOUCHING_ROWS * one_row or points[TOP, 1] < LEAST_SKULL * face:
        return Crown(0.0, True, None)
    by_colour = hair_top(picture, head, points, close, face) if face > 0 else None
    if by_colour == 0:
        return Crown(0.0, True, None)
    disagree = MOST_DISAGREEMENT * face + one_row
    if wide is not None and abs(close - wide) > disagree:
        if by_colour is not None and abs(close - by_colour) <= disagree:
            return Crown(close, False, None)
        return Crown(None, False, "the head's outline cannot be told from the background above it")
    return Crown(close, False, None)


def sides(
    points: NDArray[np.float32], head: Silhouette, width_px: int, others: Sequence[Box] = ()
) -> tuple[float, float] | None:
    """Leftmost and rightmost x of the head with hair between brow and mouth level, in pixels.

    `others`: face boxes of others; what lies beyond the middle between one of them and this face is theirs,
    as is what a gap at that level parts from the face. Where a side edge of the frame cuts the head, that
    side comes from the landmarks, which reach beyond the frame, and so lies outside it.
    """
    person = person_about(head, points)
    if person is None:
        return None
    row, column = _pixel_size(head)
    first = int((points[BROWS, 1].min() - head.top) / row)
    last = int((points[LIPS, 1].max() - head.top) / row)
    band = person[max(0, first) : max(1, last + 1)]
    face_left, face_right = float(points[:468, 0].min()), float(points[:468, 0].max())
    middle = int(((face_left + face_right) / 2 - head.left) / column)
    taken = np.asarray(band.any(axis=0))
    if not (0 <= middle < taken.size and taken[middle]):
        return None
    free_left, free_right = np.flatnonzero(~taken[:middle]), np.flatnonzero(~taken[middle:])
    first_column = int(free_left[-1]) + 1 if free_left.size else 0
    end_column = middle + int(free_right[0]) if free_right.size else taken.size
    most, beyond = (share * (face_right - face_left) for share in (MOST_SIDE_HAIR, SIDE_HAIR))
    until_left, until_right = _until_others((face_left, face_right), points, others)
    left = max(head.left + first_column * column, face_left - most, until_left)
    right = min(head.left + end_column * column, face_right + most, until_right)
    if left <= column:
        left = min(0.0, face_left - beyond)
    if right >= width_px - column:
        right = max(float(width_px), face_right + beyond)
    return left, right


def _until_others(
    face: tuple[float, float], points: NDArray[np.float32], others: Sequence[Box]
) -> tuple[float, float]:
    """Left and right x, in pixels, beyond which somebody else begins: halfway to the next face at this level;
    without one there is no end.
    """
    upper, lower = float(points[BROWS, 1].min()), float(points[LIPS, 1].max())
    centre = (face[0] + face[1]) / 2
    until_left, until_right = -np.inf, np.inf
    for left, top, right, bottom in others:
        if bottom < upper or top > lower:
            continue
        if (left + right) / 2 < centre:
            until_left = max(until_left, min(face[0], (right + face[0]) / 2))
        else:
            until_right = min(until_right, max(face[1], (left + face[1]) / 2))
    return until_left, until_right


def person_about(silhouette: Silhouette, points: NDArray[np.float32]) -> NDArray[np.bool_] | None:
    """The connected part of the silhouette that covers most of the face; None if none covers any."""
    face = points[:468, :2]
    (left, top), (right, bottom) = face.min(axis=0).tolist(), face.max(axis=0).tolist()
    return _person_at(silhouette, (left, top, right, bottom))


@lru_cache(maxsize=2)  # of one photo head and body, each of which is asked for at several places
def _person_at(silhouette: Silhouette, face: Box) -> NDArray[np.bool_] | None:
    """The connected part of the silhouette that covers most of the box of a `face`; None if none does."""
    row, column = _pixel_size(silhouette)
    height, width = silhouette.probability.shape
    left, right = ((x - silhouette.left) / column for x in face[::2])
    top, bottom = ((y - silhouette.top) / row for y in face[1::2])
    _, parts = cv2.connectedComponents((silhouette.probability > PERSON).astype(np.uint8), connectivity=4)
    inside = parts[
        int(np.clip(top, 0, height - 1)) : int(np.clip(bottom, 0, height - 1)) + 1,
        int(np.clip(left, 0, width - 1)) : int(np.clip(right, 0, width - 1)) + 1,
    ]
    covering = inside[inside > 0]
    return np.asarray(parts == np.bincount(covering.astype(np.intp)).argmax()) if covering.size else None


def _top(silhouette: Silhouette, points: NDArray[np.float32]) -> float | None:
    """The first row, going up from the brows, above which the silhouette is no longer there."""
    person = person_about(silhouette, points)
    if person is None:
        return None
    row, column = _pixel_size(silhouette)
    left, right = float(points[:468, 0].min()), float(points[:468, 0].max())
    reach = SIDE_REACH * (right - left)
    first = int(np.clip((left - reach - silhouette.left) / column, 0, person.shape[1]))
    last = int(np.clip((right + reach - silhouette.left) / column, 0, person.shape[1]))
    wide_enough = person[:, first:last].sum(axis=1) * column > LEAST_WIDTH * (right - left)
    y = int(np.clip((points[INNER_FACE, 1].mean() - silhouette.top) / row, 0, person.shape[0] - 1))
    while y > 0 and wide_enough[y - 1]:
        y -= 1
    return silhouette.top + y * row


def _pixel_size(silhouette: Silhouette) -> tuple[float, float]:
    """Height and width of a silhouette pixel, in pixels of the full-size picture."""
    height, width = silhouette.probability.shape
    return (silhouette.bottom - silhouette.top) / height, (silhouette.right - silhouette.left) / width
