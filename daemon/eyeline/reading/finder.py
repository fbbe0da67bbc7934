"""Where faces are: boxes from the full-range detector, on the whole picture and on tiles of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from eyeline.pixels.halved import halved
from eyeline.reading.boxes import SMALLEST_FACE, Box, Found, height, once_each
from eyeline.reading.detector import FULL_RANGE, SHORT_RANGE, Detection
from eyeline.reading.unexplained import LEAST_PERSON, Tile, small_unexplained, unexplained
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture

LEAST_SCORE = 0.6
"""Score from which the full-range detector's box counts as a face (the setting of its authors' own graph)."""

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

ALIKE = 0.15
"""Shift of a tile, in its own sides, below which a second look shows nothing new."""

SURE = 0.8
"""The detector's score from which a lone face explains the person below it: texture that it takes for a face
scores less."""

MOST_FIRST_LOOKS = 4
"""Tiles that are looked at before the regular ones: about one face, below it, and where else it may be."""

LEAST_FILLING_SCORE = 0.5
"""Score from which the detector for crops is believed about a whole picture (its authors' default; measured:
0.58 to 0.93 on 216 crops of 12 faces, turned, soft and in noise too, at most 0.29 on 70 pieces of
background, 0.56 on random mosaics, in which the mesh finds nothing)."""

MARGIN = 0.25
"""Black air put round the whole picture, in its long sides, when no face was found: the detector misses
faces that the edge cuts (measured on 50 tight crops of faces: none found without, 41 with the edge drawn
out, all with black)."""

FILLS = 0.5
"""Height of a face box, in frame heights, from which the face fills the picture."""


def find_boxes(picture: Picture, body: Silhouette | None = None) -> list[Found]:
    """Every face box with the detector's score, largest first.

    Tiles are looked at only when the whole picture shows no large face, and none that fills it once it has
    air round it: what a tile cuts out of such a face may pass for one. `body`: the silhouette of the whole
    picture.
    """
    scale = picture.height / picture.reduced.shape[0]
    found = _in_square(picture.reduced, 0.0, 0.0, scale)
    with_air = [] if found else _in_square(picture.reduced, 0.0, 0.0, scale, MARGIN)
    found = found or [each for each in with_air if height(each[0]) >= FILLS * picture.height]
    if max((height(box) for box, _ in found), default=0.0) < LARGE_FACE * picture.height:
        found = _small_faces(picture, body, found)
    elif body is not None:
        for tile in unexplained(picture, body, [box for box, _ in found]):
            found += _in_tile(picture, tile)
    found = found or with_air
    return once_each([each for each in found if height(each[0]) >= SMALLEST_FACE * picture.height])


def filling_face(picture: Picture) -> Found | None:
    """The face that `picture` shows and little else, by the detector for crops: it sees one that is turned,
    soft or in noise where the detector for whole pictures does not, but takes some textures for one.
    """
    scale = picture.height / picture.reduced.shape[0]
    rgb, scale = _small_enough(picture.reduced, scale)
    faces = SHORT_RANGE.found(rgb, LEAST_FILLING_SCORE, MARGIN)
    return _placed(faces[0], 0.0, 0.0, scale) if faces else None


def _in_square(
    rgb: NDArray[np.uint8], left: float, top: float, scale: float, margin: float = 0.0
) -> list[Found]:
    """Boxes in `rgb`, whose top left corner is at (`left`, `top`) and whose pixels are `scale` wide, with a
    `margin` of black round it, in its long sides.
    """
    rgb, scale = _small_enough(rgb, scale)
    return [
        _placed(face, left, top, scale)
        for face in FULL_RANGE.found(np.ascontiguousarray(rgb), LEAST_SCORE, margin)
    ]


def _small_enough(rgb: NDArray[np.uint8], scale: float) -> tuple[NDArray[np.uint8], float]:
    """`rgb` and the width of its pixels once the long side has at most `MOST_PX`."""
    while max(rgb.shape[:2]) > MOST_PX:
        rgb, scale = halved(rgb), 2 * scale
    return rgb, scale


def _placed(face: Detection, left: float, top: float, scale: float) -> Found:
    x0, y0, x1, y1 = face.box
    return (left + x0 * scale, top + y0 * scale, left + x1 * scale, top + y1 * scale), face.score


def _tiles(picture: Picture) -> Iterator[Tile]:
    """Overlapping squares that cover the picture: left, top, side in full-size pixels."""
    side = round(TILE * picture.height)
    for top in _starts(picture.height, side, TILE_STEP * picture.height):
        for left in _starts(picture.width, side, TILE_STEP * picture.height):
            yield left, top, side


def _in_tile(picture: Picture, tile: Tile) -> list[Found]:
    left, top, side = tile
    return _in_square(picture.rgb[top : top + side, left : left + side], float(left), float(top), 1.0)


def _small_faces(picture: Picture, body: Silhouette | None, found: list[Found]) -> list[Found]:
    """The faces `found` in the whole picture, and those that it is too coarse for.

    First where a person begins at the top, and about and below the face there. Then, if that is one face and
    sure, the tiles in which `body` sees somebody else, otherwise all in which it sees somebody. The other
    tiles only while there is no face at all.
    """
    tiles = list(_tiles(picture))
    likely = tiles
    if body is not None:
        found, shown = _first_looks(picture, body, found), body
        if [score >= SURE for _, score in once_each(found)] == [True]:
            rest = small_unexplained(picture, body, found)
            shown = replace(body, probability=body.probability * rest.everything)
        likely = [tile for tile in tiles if _shows_somebody(shown, tile)]
    for tile in likely:
        found = found + _in_tile(picture, tile)
    if not found:
        for tile in (each for each in tiles if each not in likely):
            found = found + _in_tile(picture, tile)
    return found


def _first_looks(picture: Picture, body: Silhouette, found: list[Found]) -> list[Found]:
    """`found` and what is in a tile about the face there, in one below it, where somebody shorter would stand
    in front, and in one about the top of each part of `body` that it does not explain. Ends at a second face.
    """
    side = round(TILE * picture.height)
    looked: list[Tile] = []
    while len(boxes := [box for box, _ in once_each(found)]) < 2 and len(looked) < MOST_FIRST_LOOKS:
        wanted = [
            _about(box, side, 0.0) for box in boxes if not any(_well_inside(box, each) for each in looked)
        ]
        rest = small_unexplained(picture, body, found)
        wanted += [*rest.tops(side), *(_about(box, side, side / 2) for box in boxes)]
        new = [tile for tile in wanted if not any(_alike(tile, each) for each in looked)]
        if not new:
            break
        looked.append(new[0])
        found = found + _in_tile(picture, new[0])
    return found


def _about(box: Box, side: int, lower: float) -> Tile:
    """The square of `side` whose middle is `lower` pixels below that of `box`."""
    left, top = (box[0] + box[2] - side) / 2, (box[1] + box[3] - side) / 2 + lower
    return max(0, round(left)), max(0, round(top)), side


def _alike(one: Tile, other: Tile) -> bool:
    """Whether two tiles of one size show nearly the same."""
    return max(abs(one[0] - other[0]), abs(one[1] - other[1])) < ALIKE * one[2]


def _well_inside(box: Box, tile: Tile) -> bool:
    """Whether `tile` has half a face of air about `box`, or the edge of the picture."""
    left, top, side = tile
    air = height(box) / 2
    first = left <= max(0.0, box[0] - air) and top <= max(0.0, box[1] - air)
    return first and box[2] + air <= left + side and box[3] + air <= top + side


def _shows_somebody(body: Silhouette, tile: Tile) -> bool:
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
