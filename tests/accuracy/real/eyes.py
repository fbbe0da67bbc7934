"""Where real eyes look, and whether they are open."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.row import Row
from tests.accuracy.real.measured import Measured, share

CLOSED_BELOW = 0.5
"""Probability of open eyes under which they count as called closed or half closed."""


SMALL_PX = 90.0
"""Pixels between the pupils: a patch of the eye networks has 96 for a usual face, more adds nothing."""

GROUP_GOAL = 0.97
CLOSED_GOAL, CLOSED_GROUP_GOAL = 0.005, 0.01
"""Most of the open eyes that may be called closed: of all, and of any group."""


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


def open_row(name: str, photographs: Sequence[Measured], most: float = CLOSED_GOAL) -> list[Row]:
    """Open and narrowed eyes that are called closed or half closed, a share of `most` at the most."""
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
            f"≤ {100 * most:g} %",
            taken > 0 and called / taken <= most,
        )
    ]


def eye_rows(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """All rows of one set or of a part of it, then looks into the lens by what may make them hard."""
    rows = [*word_rows(name, photographs), *open_row(name, photographs)]
    return [*rows, *by_group(name, photographs)]


def by_group(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """`camera` of looks into the lens, and open eyes called closed, by size of the eyes, glasses, lids, and
    the face's brightness in the picture, which in a studio's constant light is the skin's. Groups that hold
    everybody are left out.
    """
    into_lens = [each for each in photographs if each.photograph.is_("gaze", "camera")]
    open_eyes = [each for each in photographs if each.photograph.is_("eyes", "open", "narrow")]
    bright = [value for each in photographs if (value := each.number("face_luminance")) is not None]
    dark, light = np.quantile(bright, [1 / 3, 2 / 3]) if bright else (0.0, 0.0)
    groups = {
        f"pupils under {SMALL_PX:.0f} px apart": lambda each: (each.pupils_apart_px or 0) < SMALL_PX,
        "glasses": lambda each: each.photograph.is_("glasses", "clear"),
        "eyes narrowed": lambda each: each.photograph.is_("eyes", "narrow"),
        "smiling": lambda each: each.photograph.is_("expression", "smiling"),
        "darkest third of faces": lambda each: (each.number("face_luminance") or 0) <= dark,
        "lightest third of faces": lambda each: (each.number("face_luminance") or 0) >= light,
    }
    rows: list[Row] = []
    for what, belongs in groups.items():
        group = [each for each in into_lens if belongs(each)]
        if group and len(group) < len(into_lens):
            camera = sum(each.values.get("gaze") == "camera" for each in group)
            figure = share(camera, len(group))
            met = camera / len(group) >= GROUP_GOAL
            rows.append(
                Row(f"{name}, {what}: `camera`", len(group), None, figure, f"≥ {GROUP_GOAL:.0%}", met)
            )
        group = [each for each in open_eyes if belongs(each)]
        if group and len(group) < len(open_eyes):
            rows += open_row(f"{name}, {what}", group, CLOSED_GROUP_GOAL)
    return rows
