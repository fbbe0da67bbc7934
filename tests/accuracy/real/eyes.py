"""Where real eyes look, and whether they are open."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.row import Row
from tests.accuracy.real.measured import Measured, share

CLOSED_BELOW = 0.5
"""Probability of open eyes under which they count as called closed or half closed."""


def word_rows(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """Looks into the lens: called `camera`, left `unsure`; the angles' mean and deviation."""
    into_lens = [each for each in photographs if each.photograph.is_("gaze", "camera")]
    if not into_lens:
        return []
    words = [str(each.values.get("gaze") or "unsure") for each in into_lens]
    camera, unsure = words.count("camera"), words.count("unsure")
    angles = np.array(
        [
            (yaw, pitch)
            for each in into_lens
            if (yaw := each.number("gaze_yaw_deg")) is not None
            and (pitch := each.number("gaze_pitch_deg")) is not None
        ]
    )
    count = len(into_lens)
    spread = ""
    if len(angles):
        (yaw, pitch), (off_yaw, off_pitch) = angles.mean(axis=0), angles.std(axis=0)
        spread = (
            f"yaw {yaw:+.1f}° ± {off_yaw:.1f}°, pitch {pitch:+.1f}° ± {off_pitch:.1f}° (mean ± deviation)"
        )
    return [
        Row(
            f"{name}: into the lens, `camera`",
            count,
            None,
            share(camera, count),
            "≥ 98 %",
            camera / count >= 0.98,
        ),
        Row(
            f"{name}: into the lens, `unsure`",
            count,
            None,
            share(unsure, count),
            "≤ 10 %",
            unsure / count <= 0.1,
        ),
        Row(f"{name}: into the lens, angles", count, len(angles) / count, spread, "", None),
    ]


def open_row(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """Open and narrowed eyes that are called closed or half closed."""
    known = [each for each in photographs if each.photograph.is_("eyes", "open", "narrow")]
    if not known:
        return []
    values = [each.number("eyes_open") for each in known]
    called = sum(value is not None and value < CLOSED_BELOW for value in values)
    taken = sum(value is not None for value in values)
    return [
        Row(
            f"{name}: open eyes called closed",
            len(known),
            taken / len(known),
            share(called, taken),
            "≤ 0.5 %",
            taken > 0 and called / taken <= 0.005,
        )
    ]


def eye_rows(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """All rows of one set or of a part of it."""
    return [*word_rows(name, photographs), *open_row(name, photographs)]
