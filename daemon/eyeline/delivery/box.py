"""Boxes of whole pixels: a crop of the upright frame, and the same box in the pixels as stored."""

from __future__ import annotations

from dataclasses import dataclass

from eyeline.terms.orientation import stored
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

    `orientation`: EXIF, 1 to 8. Raises ValueError for any other.
    """
    return Box(*stored((box.left, box.top, box.width, box.height), width, height, orientation))
