"""What the picture looks like from far off: a hash of its layout, the colour of backdrop and clothes.

For telling near-duplicates, looks and a changed backdrop apart within a set. Nothing here describes a
face: two people before the same wall have the same wall.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.quantile import quantile
from eyeline.terms.measurement import FrameMeasure, FrameSubject, Measurement, Quantity

HASH_SIDE = 8
"""Rows of the hash, and comparisons in each row: 64 bits."""

SMALL_LONG_SIDE_PX = 128
"""Least long side on which colours are read: texture and noise are averaged out, a backdrop's tone stays."""

MOST_PERSON = 0.3
"""Silhouette probability up to which a pixel is background: hair's soft edge is no backdrop."""

LEAST_PERSON = 0.7
"""Silhouette probability from which a pixel below the chin is clothes."""

MARGIN_PX = 2
"""Small pixels left out along everybody's outline, where colours mix."""

NECK = 0.35
"""Below the chin by this share of the distance from eyes to chin, clothes begin (common practice)."""

REACH = 1.0
"""Clothes are read as far to the side of the head as it is wide: further off is somebody else."""

LEAST_SHARE = 0.02
"""Share of the frame that must be backdrop, or clothes, for its colour to be told."""


def difference_hash(rgb: NDArray[np.uint8]) -> str:
    """Difference hash of a picture (M, N, 3): 16 hex digits, row by row, first bit highest.

    A bit is set where the right one of two neighbours is brighter, on the grey picture reduced to 9
    by 8: a ramp that rises to the right gives ffffffffffffffff, a falling one 0000000000000000.
    """
    grey = cv2.cvtColor(
        cv2.resize(rgb, (HASH_SIDE + 1, HASH_SIDE), interpolation=cv2.INTER_AREA), cv2.COLOR_RGB2GRAY
    ).astype(np.int16)
    return np.packbits(grey[:, 1:] > grey[:, :-1]).tobytes().hex()


def cielab(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """CIELAB (L*, a*, b*; white D65) of 8-bit sRGB `rgb`, (M, N, 3)."""
    return np.asarray(cv2.cvtColor(rgb.astype(np.float32) / 255, cv2.COLOR_RGB2LAB), np.float32)


def measure_fingerprint(subject: FrameSubject) -> Sequence[Measurement]:
    """The hash, and the median colour of the background and of the sitter's clothes."""
    small = brought_down(subject.picture.reduced)
    height, width = small.shape[:2]
    found = [Measurement("picture_hash", difference_hash(small))]
    if subject.seen.body is None:
        nobody = "without a sitter nobody can tell what is backdrop"
        return [*found, *(Measurement(name, None, nobody) for name in (*BACKGROUND, *CLOTHES))]
    person = np.asarray(
        cv2.resize(subject.seen.body.probability, (width, height), interpolation=cv2.INTER_LINEAR), np.float32
    )
    colours = cielab(small)
    found += _colour(BACKGROUND, colours, _background(subject, person), "the sitter fills the frame")
    found += _colour(CLOTHES, colours, _clothes(subject, person), "the frame shows none of the clothes")
    return found


def brought_down(reduced: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture by a whole factor smaller, which is quick; less than a factor's pixels fall off the end."""
    factor = max(1, min(max(reduced.shape[:2]) // SMALL_LONG_SIDE_PX, *reduced.shape[:2]))
    height, width = (side // factor for side in reduced.shape[:2])
    whole = reduced[: height * factor, : width * factor]
    if factor <= 2:
        return np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA))
    # To the last bit what OpenCV averages over such areas, in three fifths of its time: whole numbers, whose
    # sums are exact in either type, down the rows by NumPy and along them by a product.
    down = np.add.reduce(whole.reshape(height, factor, -1), axis=1, dtype=np.uint16)
    along = np.tile(np.eye(3, dtype=np.float32), (factor, 1))
    total = down.astype(np.float32).reshape(-1, 3 * factor) @ along
    means = np.rint(total * np.float32(1 / factor**2))
    return np.asarray(means.reshape(height, width, 3), np.uint8)


def _background(subject: FrameSubject, person: NDArray[np.float32]) -> NDArray[np.bool_]:
    taken = (person > MOST_PERSON).astype(np.uint8)
    height, width = taken.shape
    picture = subject.picture
    for face in subject.seen.faces:
        left, top, right, bottom = face.box
        columns = slice(max(0, int(left / picture.width * width)), max(0, int(right / picture.width * width)))
        rows = slice(
            max(0, int(top / picture.height * height)), max(0, int(bottom / picture.height * height))
        )
        taken[rows, columns] = 1
    kernel = np.ones((2 * MARGIN_PX + 1,) * 2, np.uint8)
    return np.asarray(cv2.dilate(taken, kernel) == 0)


def _clothes(subject: FrameSubject, person: NDArray[np.float32]) -> NDArray[np.bool_]:
    if subject.sitter is None:
        return np.zeros(person.shape, np.bool_)
    points = subject.sitter.points
    height, width = person.shape
    wide = REACH * (points.head_right - points.head_left)
    top = points.chin[1] + NECK * (points.chin[1] - points.eye_y)
    x = (np.arange(width) + 0.5) / width
    y = (np.arange(height) + 0.5) / height
    near = (x > points.head_left - wide) & (x < points.head_right + wide)
    return np.asarray((person > LEAST_PERSON) & near[None, :] & (y > top)[:, None])


def _colour(
    names: Sequence[str], colours: NDArray[np.float32], mask: NDArray[np.bool_], missing: str
) -> list[Measurement]:
    if np.count_nonzero(mask) < LEAST_SHARE * mask.size:
        return [Measurement(name, None, missing) for name in names]
    taken = np.ascontiguousarray(colours.reshape(-1, 3).take(np.flatnonzero(mask), axis=0).T)
    return [Measurement(name, round(quantile(each, 0.5), 2)) for name, each in zip(names, taken, strict=True)]


BACKGROUND = ("background_lightness", "background_a", "background_b")
CLOTHES = ("clothes_lightness", "clothes_a", "clothes_b")

MEASURE = FrameMeasure(
    quantities=(
        Quantity("picture_hash", "hex", "difference hash of the whole picture, 64 bits"),
        Quantity("background_lightness", "L* (CIELAB, D65)", "lightness of the backdrop, median"),
        Quantity("background_a", "a* (CIELAB, D65)", "backdrop from green (−) to red (+), median"),
        Quantity("background_b", "b* (CIELAB, D65)", "backdrop from blue (−) to yellow (+), median"),
        Quantity("clothes_lightness", "L* (CIELAB, D65)", "lightness of the clothes, median"),
        Quantity("clothes_a", "a* (CIELAB, D65)", "clothes from green (−) to red (+), median"),
        Quantity("clothes_b", "b* (CIELAB, D65)", "clothes from blue (−) to yellow (+), median"),
    ),
    function=measure_fingerprint,
    source="difference hash: common practice; CIELAB: CIE 15, as OpenCV computes it from sRGB",
)
