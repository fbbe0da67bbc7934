"""Which crop a size is cut to: the photographer's own before any suggestion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isclose

from eyeline.terms.rectangle import Rectangle

SAME_SHAPE = 0.01
"""Relative difference of two ratios up to which a crop is of the size's shape: both are whole pixels, and
what is left is cut off evenly."""


class Whose(StrEnum):
    """Where a crop comes from."""

    OWN_FINAL = "your own crop of the final"
    OWN = "your own crop"
    TEAM = "the team's crop"
    SUGGESTED = "the suggested crop"
    SUGGESTED_FINAL = "a crop suggested for the final"
    WHOLE = "the whole frame"


@dataclass(frozen=True, slots=True)
class CropChoice:
    """`area`: fractions of the upright frame."""

    area: Rectangle
    whose: Whose


def choose(
    ratio: float,
    frame: tuple[int, int],
    own: Sequence[Rectangle],
    team: Rectangle | None,
    suggested: Sequence[Rectangle],
) -> CropChoice | None:
    """The crop for a size of `ratio` (width to height) from a `frame` of so many pixels, upright; None where
    nothing has its shape.

    `own`: crops that a person drew, in any program; they outrank all else. `team`: the crop that matches
    the others of a team page. `suggested`: eyeline's, best first.
    """
    offered = (
        *((area, Whose.OWN) for area in own),
        *((area, Whose.TEAM) for area in ([team] if team is not None else [])),
        *((area, Whose.SUGGESTED) for area in suggested),
        (Rectangle(0.0, 0.0, 1.0, 1.0), Whose.WHOLE),
    )
    for area, whose in offered:
        shape = area.width * frame[0] / (area.height * frame[1])
        if isclose(shape, ratio, rel_tol=SAME_SHAPE):
            return CropChoice(area, whose)
    return None
