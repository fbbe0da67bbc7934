"""The crop that puts a head where the team has it."""

from __future__ import annotations

from dataclasses import dataclass

from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

SIDES = ("above", "below", "on the left", "on the right")


@dataclass(frozen=True, slots=True)
class HeadPlace:
    """Where the team has its heads: eye line and head height as fractions of the crop's height, the
    eyes' position as a fraction of its width; `ratio` of width to height."""

    eye_line: float
    head_height: float
    eye_x: float
    ratio: float


@dataclass(frozen=True, slots=True)
class Cropped:
    """A crop: `area` in fractions of the upright frame, `width` and `height` in pixels, and where it puts
    the head. `short`: pixels that the frame lacks on each of SIDES for the exact place."""

    area: Rectangle
    width: int
    height: int
    place: HeadPlace
    short: tuple[int, int, int, int]


def crop_to(place: HeadPlace, points: Points, width: int, height: int) -> Cropped | None:
    """The crop of a frame of `width` by `height` pixels that comes nearest to `place`.

    Where the frame is too small the crop stays as large as the frame allows and moves as little as
    need be. None where the head's height is not known, since crown or chin are cut
    or covered, or where both eyes are.
    """
    if points.crown_y is None or points.crown_cut or points.chin_cut:
        return None
    if points.chin_covered or points.eyes_covered:
        return None
    head = (points.chin[1] - points.crown_y) * height
    if head <= 0:
        return None
    eye_x, eye_y = points.eye_x * width, points.eye_y * height
    wanted = head / place.head_height
    left, top = eye_x - place.eye_x * wanted * place.ratio, eye_y - place.eye_line * wanted
    right, bottom = left + wanted * place.ratio, top + wanted
    short = tuple(max(0, round(each)) for each in (-top, bottom - height, -left, right - width))
    tall = min(wanted, height, width / place.ratio)
    wide = tall * place.ratio
    left = min(max(0.0, eye_x - place.eye_x * wide), width - wide)
    top = min(max(0.0, eye_y - place.eye_line * tall), height - tall)
    found = HeadPlace((eye_y - top) / tall, head / tall, (eye_x - left) / wide, place.ratio)
    area = Rectangle(left / width, top / height, wide / width, tall / height)
    return Cropped(area, round(wide), round(tall), found, (short[0], short[1], short[2], short[3]))
