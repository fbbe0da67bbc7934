"""Where faces are: boxes from the full-range detector, on the whole picture and on tiles of it."""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.reading import models
from eyeline.terms.frame import Picture

Box = tuple[float, float, float, float]
"""left, top, right, bottom in pixels of the full-size picture."""

Found = tuple[Box, float]
"""A box and the detector's score."""

DETECTOR_PX = 192
"""Side of the detector's own input, pixels; it scales what it is given to fit."""

LARGE_FACE = 0.16
"""Height of a face box, in frame heights, from which the whole picture is enough: below it the
detector starts to miss (measured on pasted heads: at a head of 12 % of the height it finds 60 %)."""

TILE = 0.4
"""Side of a tile in frame heights: finds all of 80 pasted heads at 5 % of the height, 0.5 misses 3 %."""

TILE_STEP = 0.27
"""From tile to tile, in frame heights: neighbours share 0.13, a head of twice the size that the whole
picture already shows well."""

TILE_PX = 256
"""Side that a tile is brought to before the detector scales it to its own."""

SMALLEST_FACE = 0.025
"""Height of a face box, in frame heights, below which it is dropped: a head of 4 % of the frame is no
portrait, and what the detector finds there is mostly texture."""

MARGIN = 0.25
"""Air put round the whole picture, in its long sides, when no face was found: the detector misses faces
that the edge cuts."""

SAME_FACE = 0.5
"""Overlap of two boxes, as a share of the smaller, from which they show one face."""


def find_boxes(picture: Picture) -> list[Found]:
    """Every face box with the detector's score, largest first.

    Tiles are looked at only when the whole picture shows no large face, and the picture with air round
    it only when there is still none.
    """
    found = _in_square(picture.reduced, 0.0, 0.0, picture.height / picture.reduced.shape[0])
    if max((_height(box) for box, _ in found), default=0.0) < LARGE_FACE * picture.height:
        for rgb, left, top, scale in _tiles(picture):
            found += _in_square(rgb, left, top, scale)
    if not found:
        found = _in_square(*_with_air(picture))
    return _once_each([each for each in found if _height(each[0]) >= SMALLEST_FACE * picture.height])


def _in_square(rgb: NDArray[np.uint8], left: float, top: float, scale: float) -> list[Found]:
    """Boxes in `rgb`, whose top left corner is at (`left`, `top`) and whose pixels are `scale` wide."""
    seen = models.face_detector().process(rgb)
    height, width = rgb.shape[:2]
    boxes: list[Found] = []
    for detection in seen.detections or []:
        area = detection.location_data.relative_bounding_box
        x, y = left + area.xmin * width * scale, top + area.ymin * height * scale
        box = (x, y, x + area.width * width * scale, y + area.height * height * scale)
        boxes.append((box, float(detection.score[0])))
    return boxes


def _tiles(picture: Picture) -> Iterator[tuple[NDArray[np.uint8], float, float, float]]:
    """Overlapping squares that cover the picture: pixels, left, top, full-size pixels per pixel."""
    height, width = picture.height, picture.width
    side = round(TILE * height)
    for top in _starts(height, side, TILE_STEP * height):
        for left in _starts(width, side, TILE_STEP * height):
            inside = picture.rgb[top : top + side, left : left + side]
            scale = side / TILE_PX
            if scale > 1:
                size = max(1, round(inside.shape[1] / scale)), max(1, round(inside.shape[0] / scale))
                inside = np.asarray(cv2.resize(inside, size, interpolation=cv2.INTER_AREA), np.uint8)
            yield np.ascontiguousarray(inside), float(left), float(top), max(1.0, scale)


def _starts(length: int, side: int, step: float) -> list[int]:
    """Where tiles of `side` start so that they cover `length`, evenly, at most `step` apart."""
    room = max(0, length - side)
    count = int(np.ceil(room / step)) + 1
    return [round(room * i / max(1, count - 1)) for i in range(count)]


def _with_air(picture: Picture) -> tuple[NDArray[np.uint8], float, float, float]:
    scale = picture.height / picture.reduced.shape[0]
    margin = round(MARGIN * max(picture.reduced.shape[:2]))
    padded = cv2.copyMakeBorder(picture.reduced, margin, margin, margin, margin, cv2.BORDER_REPLICATE)
    return np.asarray(padded, np.uint8), -margin * scale, -margin * scale, scale


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
