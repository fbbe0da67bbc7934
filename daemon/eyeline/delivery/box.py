"""Boxes of whole pixels: a crop of the upright frame, and the same box in the pixels as stored."""

from __future__ import annotations

from dataclasses import dataclass

from eyeline.terms.rectangle import Rectangle


@dataclass(frozen=True, slots=True)
class Box:
    """Whole pixels, from the left and top edge."""

    left: int
    top: int
    width: int
    height: int

    def area(self, width: int, height: int) -> Rectangle:
        """The same in fractions of a picture of `width` by `height`."""
        return Rectangle(self.left / width, self.top / height, self.width / width, self.height / height)


def box_of(area: Rectangle, width: int, height: int, ratio: float) -> Box:
    """The box of `ratio` (width to height) that lies about the middle of `area`, as large as it and inside
    a picture of `width` by `height` pixels.

    Its sides are off the ratio by less than a pixel.
    """
    wide = min(area.width * width, area.height * height * ratio)
    box_width = min(max(1, round(wide)), width)
    box_height = min(max(1, round(wide / ratio)), height)
    left = round((area.left + area.width / 2) * width - box_width / 2)
    top = round((area.top + area.height / 2) * height - box_height / 2)
    return Box(
        min(max(0, left), width - box_width), min(max(0, top), height - box_height), box_width, box_height
    )


def stored_box(box: Box, width: int, height: int, orientation: int) -> Box:
    """`box` of the upright picture, `width` by `height`, in the pixels as stored.

    `orientation`: EXIF 1 to 8 (CIPA DC-008, 4.6.4). Raises ValueError for any other.
    """
    x, y, w, h = box.left, box.top, box.width, box.height
    right, below = width - x - w, height - y - h
    match orientation:
        case 1:
            return box
        case 2:
            return Box(right, y, w, h)
        case 3:
            return Box(right, below, w, h)
        case 4:
            return Box(x, below, w, h)
        case 5:
            return Box(y, x, h, w)
        case 6:
            return Box(y, right, h, w)
        case 7:
            return Box(below, right, h, w)
        case 8:
            return Box(below, x, h, w)
    raise ValueError(f"EXIF orientation is 1 to 8, not {orientation}")
