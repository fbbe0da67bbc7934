"""Thin lines over a picture: the corners of a crop, and where eyes, head, look and calm background lie.

Lines are in units of the hung frame, from its upper left corner, so that HTML and PDF draw the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import copysign, radians, sin

from eyeline.measuring.framing import look_of
from eyeline.pages.stave import Hung
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

Point = tuple[float, float]

CORNER = 2.6
"""Units of each leg of a corner mark: a tenth of a frame, seen at arm's length, hiding nothing."""

ARROW_REACH = 12.0
"""Units that the arrow of a look has that goes straight to the side."""

LEAST_ARROW = 3.0
"""Units below which an arrow would not be seen as one."""

ARROW_HEAD = 0.9
TICK = 1.4
"""Units of the head of an arrow, and of the ticks at crown and chin."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through `points`, in units. `dashed`: for what is between things, not at one."""

    points: tuple[Point, ...]
    dashed: bool = False


def corner_marks(area: Rectangle, frame: Hung) -> tuple[Stroke, ...]:
    """Four corners of a crop, `area` in fractions of the upright frame."""
    left, right = area.left * frame.width, area.right * frame.width
    top, bottom = area.top * frame.height, area.bottom * frame.height
    leg = min(CORNER, (right - left) / 3, (bottom - top) / 3)
    return tuple(
        Stroke(((x, y + down * leg), (x, y), (x + across * leg, y)))
        for x, y, across, down in (
            (left, top, 1, 1),
            (right, top, -1, 1),
            (right, bottom, -1, -1),
            (left, bottom, 1, -1),
        )
    )


def geometry(points: Points, known: Mapping[str, Measurement], frame: Hung) -> tuple[Stroke, ...]:
    """Thirds, line of the eyes, crown and chin, headroom, the look as an arrow, the largest calm area."""
    width, height = frame.width, frame.height
    thirds = [Stroke(((width * n / 3, 0), (width * n / 3, height)), dashed=True) for n in (1, 2)]
    thirds += [Stroke(((0, height * n / 3), (width, height * n / 3)), dashed=True) for n in (1, 2)]
    left, right = points.head_left * width, points.head_right * width
    eye_y = points.eye_y * height
    sides = ((0.0, left - TICK), (right + TICK, width))  # never across the face, which is to be looked at
    found = [*thirds, *(Stroke(((start, eye_y), (end, eye_y))) for start, end in sides if start < end)]
    if points.crown_y is not None and not points.crown_cut:
        crown, middle = points.crown_y * height, points.eye_x * width
        found.append(Stroke(((left - TICK, crown), (right + TICK, crown))))
        found.append(Stroke(((middle, 0), (middle, crown))))
    if not points.chin_cut:
        chin = points.chin[1] * height
        found.append(Stroke(((left - TICK, chin), (right + TICK, chin))))
    found += _look(points, known, frame)
    if points.calm:
        found.append(_outline(max(points.calm, key=lambda each: each.width * each.height), frame))
    return tuple(found)


def _look(points: Points, known: Mapping[str, Measurement], frame: Hung) -> Sequence[Stroke]:
    side = look_of(known)
    if side == 0:
        return ()
    turns = [
        abs(value) for name in ("gaze_yaw_deg", "head_yaw_deg") if (value := _number(known, name)) is not None
    ]
    reach = max(LEAST_ARROW, ARROW_REACH * sin(radians(min(90.0, max(turns, default=90.0)))))
    x = (points.head_right if side > 0 else points.head_left) * frame.width
    y = points.eye_y * frame.height
    tip = x + copysign(reach, side)
    back = tip - copysign(ARROW_HEAD, side)
    return (
        Stroke(((x, y), (tip, y))),
        Stroke(((back, y - ARROW_HEAD), (tip, y), (back, y + ARROW_HEAD))),
    )


def _number(known: Mapping[str, Measurement], name: str) -> float | None:
    taken = known.get(name)
    return float(taken.value) if taken is not None and isinstance(taken.value, (int, float)) else None


def _outline(area: Rectangle, frame: Hung) -> Stroke:
    left, right = area.left * frame.width, area.right * frame.width
    top, bottom = area.top * frame.height, area.bottom * frame.height
    return Stroke(((left, top), (right, top), (right, bottom), (left, bottom), (left, top)), dashed=True)
