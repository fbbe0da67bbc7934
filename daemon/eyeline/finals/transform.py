"""From places in a frame to places in its final: a similarity in pixels."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, hypot

from eyeline.terms.rectangle import Rectangle

OVERHANG = 0.004
"""Share of the final's side by which a carried crop may reach over its edge, and is moved back in: what
registration may be off by, and a little."""


@dataclass(frozen=True, slots=True)
class Transform:
    """x' = a x - b y + across, y' = b x + a y + down: pixels of the upright frame to those of the final."""

    a: float
    b: float
    across: float
    down: float

    @property
    def scale(self) -> float:
        """Pixels of the final for each of the frame's."""
        return hypot(self.a, self.b)

    @property
    def turn_deg(self) -> float:
        """Clockwise, as seen."""
        return degrees(atan2(self.b, self.a))

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Where the place (x, y) of the frame lies in the final."""
        return self.a * x - self.b * y + self.across, self.b * x + self.a * y + self.down

    def origin(self, x: float, y: float) -> tuple[float, float]:
        """Inverse of `place`."""
        x, y, square = x - self.across, y - self.down, self.a**2 + self.b**2
        return (self.a * x + self.b * y) / square, (self.a * y - self.b * x) / square

    def carried(self, area: Rectangle, shot: tuple[int, int], final: tuple[int, int]) -> Rectangle | None:
        """An area of the frame in the final, both in fractions; `shot`, `final`: their sizes in pixels.

        It keeps its middle and its size; it stays upright in the final, since whoever turned the picture
        meant that to be level. None where it reaches beyond the final.
        """
        middle = self.place((area.left + area.width / 2) * shot[0], (area.top + area.height / 2) * shot[1])
        width, height = area.width * shot[0] * self.scale, area.height * shot[1] * self.scale
        left = _held((middle[0] - width / 2) / final[0], width / final[0])
        top = _held((middle[1] - height / 2) / final[1], height / final[1])
        if left is None or top is None:
            return None
        return Rectangle(left, top, min(1.0, width / final[0]), min(1.0, height / final[1]))

    def back(self, area: Rectangle, shot: tuple[int, int], final: tuple[int, int]) -> Rectangle:
        """The part of the frame that `area` of the final shows: by its middle and size, as `carried`."""
        middle = self.origin((area.left + area.width / 2) * final[0], (area.top + area.height / 2) * final[1])
        width, height = area.width * final[0] / self.scale, area.height * final[1] / self.scale
        return Rectangle(
            (middle[0] - width / 2) / shot[0],
            (middle[1] - height / 2) / shot[1],
            width / shot[0],
            height / shot[1],
        )


def _held(start: float, length: float) -> float | None:
    """`start` moved so that the stretch lies in 0 to 1; None where it reaches too far over."""
    if start < -OVERHANG or start + length > 1 + OVERHANG or length > 1 + OVERHANG:
        return None
    return min(max(0.0, start), max(0.0, 1.0 - length))
