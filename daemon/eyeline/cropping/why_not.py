"""Why a format has no crop: what no crop can mend, what every window breaks, what the best one lacks."""

from __future__ import annotations

import numpy as np

from eyeline.cropping.search import Spaces, whole_size
from eyeline.judging.columns import Columns
from eyeline.judging.condition import truth
from eyeline.judging.rulebook import CropFormat, Rulebook
from eyeline.judging.score import spread
from eyeline.measuring.framing import EVERYTHING
from eyeline.terms.points import Points

WEAK = 2
"""Stars at most of a frame that nobody would crop (common practice); one in doubt has three, and crops."""

CROWN, CHIN, HEADS, LOOK = range(4)
BROKEN = {
    CROWN: "every {format} that is large enough would cut the crown",
    CHIN: "every {format} that is large enough would cut the chin",
    HEADS: "every {format} that holds the head would cut somebody else's",
    LOOK: "no {format} that holds the head leaves more room ahead of the look than behind it",
}
"""What to say where all windows that are large enough break the same one of the four rules."""


def hopeless(points: Points, rulebook: Rulebook) -> str | None:
    """Why no format can have a crop, whatever its size."""
    if points.chin_covered:
        return "where the chin is cannot be told: something covers it"
    if points.eyes_covered:
        return "where the eyes are cannot be told: something covers both"
    if points.chin_cut:
        return "the frame itself cuts the chin"
    if rulebook.crown_may_be_cut:
        return None
    if points.crown_cut:
        return "the frame itself cuts the crown"
    if points.crown_y is None:
        return f"where the crown is cannot be told: {points.crown_missing}"
    return None


def faults_of_frames(judge: Rulebook, columns: Columns) -> list[str | None]:
    """For each frame a fault that no crop can mend, in words: closed eyes stay closed."""
    first: list[str | None] = [None] * columns.count
    for fault in judge.faults:
        if fault.stars_at_most <= WEAK and fault.measures.isdisjoint(EVERYTHING):
            holds = spread(truth(fault.when, columns).yes, columns.count)
            for row in np.flatnonzero(holds):
                first[row] = first[row] or f"no crop mends this: {fault.says}"
    return first


def faults_of_windows(judge: Rulebook, columns: Columns) -> list[str | None]:
    """The worst fault of each window, in words: no crop is good that the genre calls weak or a dud."""
    worst: list[str | None] = [None] * columns.count
    for fault in sorted(judge.faults, key=lambda each: -each.stars_at_most):
        if fault.stars_at_most <= WEAK and not fault.measures.isdisjoint(EVERYTHING):
            for row in np.flatnonzero(spread(truth(fault.when, columns).yes, columns.count)):
                worst[row] = fault.says
    return worst


def too_small(shape: CropFormat, room: Spaces, row: int, place: int) -> str:
    """The words for a format that does not fit into frame `row` at its least size."""
    sizes = whole_size(room.largest[row, place], shape.ratio, room.width[row, 0], room.height[row, 0])
    wide, high = (int(each) for each in sizes)
    if wide < shape.width or high < shape.height:
        needed = f"{shape.width} × {shape.height} pixels"
        return f"needs {needed}; the largest {shape.name} in this frame has {wide} × {high}"
    return f"the largest {shape.name} in this frame, {wide} × {high} pixels, does not hold the head"
