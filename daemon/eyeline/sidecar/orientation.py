"""Regions, in fractions, between the upright picture and the pixels as stored."""

from __future__ import annotations

from eyeline.terms.orientation import stored
from eyeline.terms.rectangle import Rectangle


def stored_from_upright(area: Rectangle, orientation: int) -> Rectangle:
    """`area` (fractions of the upright picture) in fractions of the stored picture.

    `orientation`: EXIF, 1 to 8. Raises ValueError for any other.
    """
    return Rectangle(*stored((area.left, area.top, area.width, area.height), 1.0, 1.0, orientation))


def upright_from_stored(area: Rectangle, orientation: int) -> Rectangle:
    """Inverse of `stored_from_upright`: a quarter turn is undone by one the other way, all else by itself."""
    return stored_from_upright(area, {6: 8, 8: 6}.get(orientation, orientation))
