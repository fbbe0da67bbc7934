"""Skin that is burnt, and skin that is not, on real faces."""

from __future__ import annotations

from collections.abc import Sequence

from tests.accuracy.figures.row import Row
from tests.accuracy.real.measured import Measured, share

BURNT_ABOVE = 0.03
"""Share of the skin at the limit above which the shipped rules write `burnt highlights`."""


def burnt_rows(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """Skin that both raters call whole, called burnt; the studio's light is even, so its skin is whole."""
    whole = [
        each
        for each in photographs
        if each.photograph.is_("burnt", "no") or each.photograph.set_name == "studio"
    ]
    values = [value for each in whole if (value := each.number("face_clipped")) is not None]
    if not values:
        return []
    called = sum(value > BURNT_ABOVE for value in values)
    return [
        Row(
            f"{name}: skin that is not burnt, called burnt",
            len(whole),
            len(values) / len(whole),
            share(called, len(values)),
            "≤ 1 %",
            called / len(values) <= 0.01,
        )
    ]
