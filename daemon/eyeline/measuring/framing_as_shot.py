"""Where the sitter stands within the frame as shot, and why a number is missing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from eyeline.measuring.framing import QUANTITIES, WHOLE, framing, look_of
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject
from eyeline.terms.points import CHIN, COVERED, Points

OF_CHIN = frozenset({"chin_room", "head_height", "eye_to_chin", "head_beyond_top", "shot_scale"})
OF_EYES = frozenset(
    {"eye_line", "eye_x", "third_distance", "centre_distance", "eye_to_chin", "head_beyond_top"}
)
"""What cannot be told while something covers the chin, or both eyes."""


def _whole_frame(subject: Subject) -> Sequence[Measurement]:
    points = subject.sitter.points
    look = look_of(subject.known)
    columns = framing(points, WHOLE, subject.frame.width, subject.frame.height, look)
    return [_measurement(each, columns[each.name][0], points) for each in QUANTITIES]


def _measurement(quantity: Quantity, value: np.float64 | np.int8, points: Points) -> Measurement:
    missing = value < 0 if quantity.words else np.isnan(value)
    if missing:
        return Measurement(quantity.name, None, _why_missing(quantity.name, points))
    if quantity.words:
        return Measurement(quantity.name, quantity.words[int(value)])
    return Measurement(quantity.name, bool(value) if quantity.unit == "bool" else float(value))


def _why_missing(name: str, points: Points) -> str:
    if name == "lead_room":
        return "the look is into the lens, so no side leads"
    if name in ("edge_room", "head_width"):
        return "the head's width could not be told"
    if name in OF_CHIN and points.chin_covered:
        return COVERED.format(CHIN)
    if name in OF_EYES and points.eyes_covered:
        return COVERED.format("both eyes")
    if name in ("head_height", "eye_to_chin", "head_beyond_top") and points.chin_cut:
        return "the frame cuts the chin"
    if name == "head_height" and points.crown_cut:
        return "the frame cuts the crown"
    return points.crown_missing or "the top of the head could not be told"


MEASURE = SitterMeasure(
    quantities=QUANTITIES,
    function=_whole_frame,
    source="common practice: arithmetic on the sitter's points",
    needs=("gaze", "gaze_yaw_deg", "head_yaw_deg"),
)
