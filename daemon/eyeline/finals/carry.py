"""The sitter and the space for text, carried from a frame onto its final."""

from __future__ import annotations

from dataclasses import replace

from eyeline.finals.transform import Transform
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

LEAST_LEFT = 0.02
"""Fraction of the final below which what is left of a rectangle is nothing."""


def points_on_final(
    points: Points, transform: Transform, shot: tuple[int, int], final: tuple[int, int]
) -> Points:
    """Where the sitter of a frame of `shot` pixels is in its `final` of so many: fractions of the final.

    What the final no longer shows is cut there, as it would have been by the camera.
    """

    def at(x: float, y: float) -> tuple[float, float]:
        across, down = transform.place(x * shot[0], y * shot[1])
        return across / final[0], down / final[1]

    chin = at(*points.chin)
    crown = at(points.eye_x, points.crown_y)[1] if points.crown_y is not None else None
    cut = points.crown_cut or (crown is not None and crown < 0)
    return replace(
        points,
        pupil_left=at(*points.pupil_left),
        pupil_right=at(*points.pupil_right),
        chin=chin,
        chin_cut=points.chin_cut or chin[1] > 1,
        crown_y=0.0 if cut and crown is not None else crown,
        crown_cut=cut,
        head_left=at(points.head_left, points.eye_y)[0],
        head_right=at(points.head_right, points.eye_y)[0],
        feet_in_frame=points.feet_in_frame and at(0.5, 1.0)[1] <= 1,
        calm=_carried(points.calm, transform, shot, final),
        others=_carried(points.others, transform, shot, final),
    )


def _carried(
    areas: tuple[Rectangle, ...], transform: Transform, shot: tuple[int, int], final: tuple[int, int]
) -> tuple[Rectangle, ...]:
    """The part of each of `areas` that the final shows, where it is more than nothing."""
    found = []
    for area in areas:
        middle = transform.place(
            (area.left + area.width / 2) * shot[0], (area.top + area.height / 2) * shot[1]
        )
        width, height = area.width * shot[0] * transform.scale, area.height * shot[1] * transform.scale
        left, right = (max(0.0, min(1.0, (middle[0] + half) / final[0])) for half in (-width / 2, width / 2))
        top, bottom = (
            max(0.0, min(1.0, (middle[1] + half) / final[1])) for half in (-height / 2, height / 2)
        )
        if right - left >= LEAST_LEFT and bottom - top >= LEAST_LEFT:
            found.append(Rectangle(left, top, right - left, bottom - top))
    return tuple(found)
