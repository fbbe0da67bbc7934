"""Where faces are: boxes from the full-range detector, on the whole picture and on tiles of it."""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.reading import models
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture

Box = tuple[float, float, float, float]
"""left, top, right, bottom in pixels of the full-size picture."""

Found = tuple[Box, float]
"""A box and the detector's score."""

MOST_PX = 600
"""Long side of what the detector is given, in pixels: it brings it to 192 itself without averaging, which
turns noise into false texture (measured at a noise of 25 levels: 38 of 60 faces found at 900 pixels, 60 of
60 at 450).
"""

LARGE_FACE = 0.16
"""Height of a face box, in frame heights, from which the whole picture is enough: below it the
detector starts to miss (measured on pasted heads: at a head of 12 % of the height it finds 60 %)."""

TILE = 0.4
"""Side of a tile in frame heights: finds all of 80 pasted heads at 5 % of the height, 0.5 misses 3 %."""

TILE_STEP = 0.27
"""From tile to tile, in frame heights: neighbours share 0.13, a head of twice the size that the whole
picture already shows well."""

LEAST_PERSON = 0.2
"""Silhouette probability somewhere in a tile for it to be worth a look while others are."""

REACH = 2.2
"""How far a person reaches to each side of the face, in face-box widths: elbows out; shoulders take 1.5."""

LEAST_UNEXPLAINED = 0.5
"""Least area of a silhouette beyond that reach, in areas of the largest face, to be somebody else's."""

UNEXPLAINED_FACES = 3.0
"""Side of the square in which that person's face is sought, in heights of the largest face."""

SMALLEST_FACE = 0.025
"""Height of a face box, in frame heights, below which it is dropped: a head of 4 % of the frame is no
portrait, and what the detector finds there is mostly texture."""

MARGIN = 0.25
"""Air put round the whole picture, in its long sides, when no face was found: the detector misses faces
that the edge cuts."""

SAME_FACE = 0.5
"""Overlap of two boxes, as a share of the smaller, from which they show one face."""


def find_boxes(picture: Picture, body: Silhouette | None = None) -> list[Found]:
    """Every face box with the detector's score, largest first.

    Tiles are looked at only when the whole picture shows no large face: those first in which `body`, the
    silhouette of the whole picture, sees somebody, and the rest only while no face is found. The
    picture with air round it comes last.
    """
    scale = picture.height / picture.reduced.shape[0]
    found = _in_square(picture.reduced, 0.0, 0.0, scale)
    if max((_height(box) for box, _ in found), default=0.0) < LARGE_FACE * picture.height:
        tiles = list(_tiles(picture))
        likely = [tile for tile in tiles if body is None or _shows_somebody(body, tile)]
        for tile in likely:
            found += _in_tile(picture, tile)
        if not found:
            for tile in (each for each in tiles if each not in likely):
                found += _in_tile(picture, tile)
    elif body is not None:
        for tile in unexplained(picture, body, [box for box, _ in found]):
            found += _in_tile(picture, tile)
    if not found:
        margin = round(MARGIN * max(picture.reduced.shape[:2]))
        padded = cv2.copyMakeBorder(picture.reduced, margin, margin, margin, margin, cv2.BORDER_REPLICATE)
        found = _in_square(np.asarray(padded, np.uint8), -margin * scale, -margin * scale, scale)
    return _once_each([each for each in found if _height(each[0]) >= SMALLEST_FACE * picture.height])


def _in_square(rgb: NDArray[np.uint8], left: float, top: float, scale: float) -> list[Found]:
    """Boxes in `rgb`, whose top left corner is at (`left`, `top`) and whose pixels are `scale` wide."""
    while max(rgb.shape[:2]) > MOST_PX:
        height, width = rgb.shape[0] // 2, rgb.shape[1] // 2
        whole = rgb[: 2 * height, : 2 * width]  # OpenCV averages two by two far faster than anything else
        rgb = np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA), np.uint8)
        scale *= 2
    seen = models.face_detector().process(np.ascontiguousarray(rgb))
    height, width = rgb.shape[:2]
    boxes: list[Found] = []
    for detection in seen.detections or []:
        area = detection.location_data.relative_bounding_box
        x, y = left + area.xmin * width * scale, top + area.ymin * height * scale
        box = (x, y, x + area.width * width * scale, y + area.height * height * scale)
        boxes.append((box, float(detection.score[0])))
    return boxes


def _tiles(picture: Picture) -> Iterator[tuple[int, int, int]]:
    """Overlapping squares that cover the picture: left, top, side in full-size pixels."""
    side = round(TILE * picture.height)
    for top in _starts(picture.height, side, TILE_STEP * picture.height):
        for left in _starts(picture.width, side, TILE_STEP * picture.height):
            yield left, top, side


def _in_tile(picture: Picture, tile: tuple[int, int, int]) -> list[Found]:
    left, top, side = tile
    return _in_square(picture.rgb[top : top + side, left : left + side], float(left), float(top), 1.0)


def unexplained(picture: Picture, body: Silhouette, boxes: list[Box]) -> Iterator[tuple[int, int, int]]:
    """A square about the top of every part of `body` that is too far from all `boxes` to be theirs."""
    person = (body.probability > 0.5).astype(np.uint8)
    rows, columns = person.shape
    across, down = columns / picture.width, rows / picture.height
    for left, top, right, bottom in boxes:
        reach = REACH * (right - left)
        x0, x1 = (
            max(0, int((left + right - 2 * reach) / 2 * across)),
            int((left + right + 2 * reach) / 2 * across),
        )
        person[max(0, int((2 * top - bottom) * down)) :, x0 : max(0, x1)] = 0
    height = max(_height(box) for box in boxes)
    side = round(UNEXPLAINED_FACES * height)
    least = LEAST_UNEXPLAINED * height * across * height * down
    _, parts, stats, _ = cv2.connectedComponentsWithStats(person, connectivity=4)
    for label in range(1, len(stats)):
        if stats[label, cv2.CC_STAT_AREA] < least:
            continue
        first = int(stats[label, cv2.CC_STAT_TOP])
        near_top = parts[first : first + max(1, round(height / 2 * down))] == label
        x = float(near_top.any(axis=0).nonzero()[0].mean()) / across
        yield max(0, round(x - side / 2)), max(0, round(first / down - side / 4)), side


def _shows_somebody(body: Silhouette, tile: tuple[int, int, int]) -> bool:
    left, top, side = tile
    rows, columns = body.probability.shape
    across, down = columns / (body.right - body.left), rows / (body.bottom - body.top)
    inside = body.probability[
        int(top * down) : int(np.ceil((top + side) * down)),
        int(left * across) : int(np.ceil((left + side) * across)),
    ]
    return bool(inside.size and inside.max() > LEAST_PERSON)


def _starts(length: int, side: int, step: float) -> list[int]:
    """Where tiles of `side` start so that they cover `length`, evenly, at most `step` apart."""
    room = max(0, length - side)
    count = int(np.ceil(room / step)) + 1
    return [round(room * i / max(1, count - 1)) for i in range(count)]


def _once_each(found: list[Found]) -> list[Found]:
    """The best-scored box of every face, largest first."""
    kept: list[Found] = []
    for box, score in sorted(found, key=lambda item: -item[1]):
        if all(_overlap(box, other) < SAME_FACE for other, _ in kept):
            kept.append((box, score))
    return sorted(kept, key=lambda item: -_height(item[0]))


def _overlap(a: Box, b: Box) -> float:
    """Shared area over the area of the smaller box."""
    wide = min(a[2], b[2]) - max(a[0], b[0])
    high = min(a[3], b[3]) - max(a[1], b[1])
    smaller = min((a[2] - a[0]) * (a[3] - a[1]), (b[2] - b[0]) * (b[3] - b[1]))
    return max(0.0, wide) * max(0.0, high) / smaller if smaller > 0 else 0.0


def _height(box: Box) -> float:
    return box[3] - box[1]
