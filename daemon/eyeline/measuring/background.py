"""How busy the background is."""

from __future__ import annotations

from collections.abc import Sequence

from eyeline.measuring.calm import MOST_DETAIL, background_cells
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

HALF_BUSY = MOST_DETAIL
"""Deviation of the colour (CIELAB 1976) at which a cell counts half: the border of calm."""

LEAST_SHARE = 0.02
"""Share of the frame's cells that must be background for it to be judged."""


def _background_detail(subject: Subject) -> Sequence[Measurement]:
    deviations, share = background_cells(subject.picture, subject.seen)
    if share < LEAST_SHARE:
        return [Measurement("background_detail", None, "the sitter fills the frame")]
    return [Measurement("background_detail", float((deviations / (deviations + HALF_BUSY)).mean()))]


MEASURE = SitterMeasure(
    quantities=(
        Quantity(
            "background_detail",
            "0 to 1",
            "how busy the background is: 0 = one even tone, 0.5 = at the border of calm, 1 = all edges",
        ),
    ),
    function=_background_detail,
    source="common practice: local deviation of colour over what is not the sitter",
)
