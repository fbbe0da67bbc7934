"""Boxes between the upright picture and the pixels as stored, for the eight EXIF orientations.

The orientations: CIPA DC-008, 4.6.4. Region metadata applies to the stored image, before the orientation (MWG
Guidelines 2.0, "Rotation issues"; IPTC Photo Metadata User Guide).
"""

from __future__ import annotations

from typing import TypeVar

N = TypeVar("N", int, float)


def stored(box: tuple[N, N, N, N], width: N, height: N, orientation: int) -> tuple[N, N, N, N]:
    """`box` (left, top, width, height) of an upright picture of `width` by `height` as it lies in the stored
    one, in the same unit: pixels, or fractions of a picture of 1 by 1.

    `orientation`: EXIF, 1 to 8. Raises ValueError for any other.
    """
    x, y, w, h = box
    right, below = width - x - w, height - y - h
    match orientation:
        case 1:
            return box
        case 2:
            return right, y, w, h
        case 3:
            return right, below, w, h
        case 4:
            return x, below, w, h
        case 5:
            return y, x, h, w
        case 6:
            return y, right, h, w
        case 7:
            return below, right, h, w
        case 8:
            return below, x, h, w
    raise ValueError(f"EXIF orientation is 1 to 8, not {orientation}")
