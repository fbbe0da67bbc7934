"""The sitters of many frames as arrays, for formulas that answer for all of them at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]

NOWHERE = Rectangle(-1.0, -1.0, 0.0, 0.0)
"""Fills up a list of rectangles: no window meets it."""


@dataclass(frozen=True, slots=True, eq=False)
class Sitters:
    """Points of P frames, see `terms.points`; each array (P, 1), to meet windows (P, N).

    `crown_y`, `chin_y`, `eye_x`, `eye_y`: NaN where it cannot be told. `width_px`, `height_px`: of the
    whole upright frame. `look`: see `framing.look_side`. `calm`, `others`: float64 (4, P, 1), left, top,
    right, bottom; `calm_on_right`: whether the rectangle lies on the right of the eyes.
    """

    eye_x: Numbers
    eye_y: Numbers
    chin_y: Numbers
    chin_cut: Mask
    crown_y: Numbers
    crown_cut: Mask
    head_left: Numbers
    head_right: Numbers
    feet_in_frame: Mask
    width_px: Numbers
    height_px: Numbers
    look: Numbers
    calm: tuple[Numbers, ...]
    calm_on_right: tuple[Mask, ...]
    others: tuple[Numbers, ...]


def sitters_of(
    points: Sequence[Points], width_px: Sequence[float], height_px: Sequence[float], look: Sequence[int]
) -> Sitters:
    """The arrays of `points`, one for each frame, of frames of so many pixels whose sitters `look` so."""
    crown = [_crown_y(each) for each in points]
    calm = _filled_up([each.calm for each in points])
    eye_x = _column([np.nan if each.eyes_covered else each.eye_x for each in points])
    return Sitters(
        eye_x=eye_x,
        eye_y=_column([np.nan if each.eyes_covered else each.eye_y for each in points]),
        chin_y=_column([np.nan if each.chin_covered else each.chin[1] for each in points]),
        chin_cut=_column([each.chin_cut and not each.chin_covered for each in points]) > 0,
        crown_y=_column(crown),
        crown_cut=_column([each.crown_cut for each in points]) > 0,
        head_left=_column([each.head_left for each in points]),
        head_right=_column([each.head_right for each in points]),
        feet_in_frame=_column([each.feet_in_frame for each in points]) > 0,
        width_px=_column(width_px),
        height_px=_column(height_px),
        look=_column(look),
        calm=calm,
        calm_on_right=tuple(left + (right - left) / 2 >= eye_x for left, _, right, _ in calm),
        others=_filled_up([each.others for each in points]),
    )


def _crown_y(points: Points) -> float:
    if points.crown_y is not None:
        return points.crown_y
    return 0.0 if points.crown_cut else np.nan


def _column(values: Sequence[float]) -> Numbers:
    return np.array(values, np.float64)[:, None]


def _filled_up(rectangles: Sequence[tuple[Rectangle, ...]]) -> tuple[Numbers, ...]:
    """The first rectangle of every frame, the second, and so on, as many as the richest frame has."""
    return tuple(
        np.array(
            [
                (each.left, each.top, each.right, each.bottom)
                for each in (of_frame[place] if place < len(of_frame) else NOWHERE for of_frame in rectangles)
            ]
        ).T[:, :, None]
        for place in range(max(map(len, rectangles), default=0))
    )
