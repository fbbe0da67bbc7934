"""What a silhouette shows of people whose faces were not found."""

from __future__ import annotations

import cv2
import numpy as np

from eyeline.reading.boxes import SMALLEST_FACE, Box, Found, height
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture

Tile = tuple[int, int, int]
"""left, top, side of a square in pixels of the full-size picture."""

LEAST_PERSON = 0.2
"""Silhouette probability somewhere in a tile for it to be worth a look while others are."""

EXPLAINED_BELOW = 0.3
"""How far below a face its own person reaches, in frame heights, where somebody shorter may stand in front:
what the tile below the face shows but for its last eighth."""

REACH = 2.2
"""How far a person reaches to each side of the face, in face-box widths: elbows out; shoulders take 1.5."""

LEAST_UNEXPLAINED = 0.5
"""Least area of a silhouette beyond that reach, in areas of the largest face, to be somebody else's."""

LEAST_HINT = 0.1
"""The same where faces may be small: silhouettes of small people have holes."""

UNEXPLAINED_FACES = 3.0
"""Side of the square in which that person's face is sought, in heights of the largest face."""


def unexplained(picture: Picture, body: Silhouette, boxes: list[Box]) -> list[Tile]:
    """A square about the top of every part of `body` that is too far from all `boxes` to be theirs."""
    found = [(box, 1.0) for box in boxes]
    side = round(UNEXPLAINED_FACES * max(map(height, boxes)))
    return Unexplained(picture, body, found, 0.5, LEAST_UNEXPLAINED, float(picture.height)).tops(side)


class Unexplained:
    """The parts of `body`, from the probability `least` on, that belong to no face `found`: a person is what
    lies beside a face and as far as `below` it, in pixels. Parts below `area`, in areas of the largest face,
    are left out.

    `everything`: all parts, bool, in the size of the silhouette.
    """

    def __init__(
        self, picture: Picture, body: Silhouette, found: list[Found], least: float, area: float, below: float
    ) -> None:
        person = (body.probability > least).astype(np.uint8)
        rows, columns = person.shape
        self._across, self._down = columns / picture.width, rows / picture.height
        for (left, top, right, bottom), _ in found:
            reach = REACH * (right - left)
            x0, x1 = (int((left + right + way * 2 * reach) / 2 * self._across) for way in (-1, 1))
            y0, y1 = (int(y * self._down) for y in (2 * top - bottom, bottom + below))
            person[max(0, y0) : max(0, y1), max(0, x0) : max(0, x1)] = 0
        smallest = SMALLEST_FACE * picture.height
        self._height = max((height(box) for box, _ in found), default=smallest)
        smallest_part = area * self._height * self._across * self._height * self._down
        _, self._parts, stats, _ = cv2.connectedComponentsWithStats(person, connectivity=4)
        large = stats[:, cv2.CC_STAT_AREA] >= smallest_part
        large[0] = False
        self._labels = np.flatnonzero(large)
        self._first = stats[:, cv2.CC_STAT_TOP]
        self.everything = large[self._parts]

    def tops(self, side: int) -> list[Tile]:
        """A square of `side` about the top of every part."""
        squares = []
        for label in self._labels:
            first = int(self._first[label])
            near_top = self._parts[first : first + max(1, round(self._height / 2 * self._down))] == label
            x = float(near_top.any(axis=0).nonzero()[0].mean()) / self._across
            squares.append((max(0, round(x - side / 2)), max(0, round(first / self._down - side / 4)), side))
        return squares


def small_unexplained(picture: Picture, body: Silhouette, found: list[Found]) -> Unexplained:
    """The parts of `body` that belong to no face `found`, where faces may be small."""
    return Unexplained(picture, body, found, LEAST_PERSON, LEAST_HINT, EXPLAINED_BELOW * picture.height)
