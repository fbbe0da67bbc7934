"""Rectangles between the upright picture and the pixels as stored, for the eight EXIF orientations.

Region metadata applies to the stored image, before EXIF Orientation (MWG Guidelines 2.0, "Rotation
issues"; IPTC Photo Metadata User Guide). The table is theirs.
"""

from __future__ import annotations

from eyeline.terms.rectangle import Rectangle


def stored_from_upright(area: Rectangle, orientation: int) -> Rectangle:
    """`area` (fractions of the upright picture) in fractions of the stored picture.

    `orientation`: EXIF, 1 to 8. Raises ValueError for any other.
    """
    x, y, w, h = area.left, area.top, area.width, area.height
    match orientation:
        case 1:
            return area
        case 2:
            return Rectangle(1 - x - w, y, w, h)
        case 3:
            return Rectangle(1 - x - w, 1 - y - h, w, h)
        case 4:
            return Rectangle(x, 1 - y - h, w, h)
        case 5:
            return Rectangle(y, x, h, w)
        case 6:
            return Rectangle(y, 1 - x - w, h, w)
        case 7:
            return Rectangle(1 - y - h, 1 - x - w, h, w)
        case 8:
            return Rectangle(1 - y - h, x, h, w)
    raise ValueError(f"EXIF orientation is 1 to 8, not {orientation}")


def upright_from_stored(area: Rectangle, orientation: int) -> Rectangle:
    """Inverse of `stored_from_upright`: a quarter turn is undone by one the other way, all else by itself."""
    return stored_from_upright(area, {6: 8, 8: 6}.get(orientation, orientation))
