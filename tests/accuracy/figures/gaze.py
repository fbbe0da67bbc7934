"""Where the eyes look."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.accuracy.figures.readable import eyes_can_be_read
from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair


def gaze_angle_errors(pairs: Sequence[Pair]) -> tuple[np.ndarray, int]:
    """Angle between measured and true look, degrees, and how many were counted."""
    angles, counted = [], 0
    for pair in pairs:
        if pair.person is None or not eyes_can_be_read(pair, pair.person):
            continue
        counted += 1
        yaw, pitch = pair.number("gaze_yaw_deg"), pair.number("gaze_pitch_deg")
        if yaw is not None and pitch is not None:
            found, true = _direction(yaw, pitch), _direction(pair.person.gaze_yaw, pair.person.gaze_pitch)
            angles.append(np.degrees(np.arccos(np.clip(found @ true, -1, 1))))
    return np.array(angles), counted


def _direction(yaw_deg: float, pitch_deg: float) -> np.ndarray:
    yaw, pitch = np.radians([yaw_deg, pitch_deg])
    return np.array([np.sin(yaw) * np.cos(pitch), np.sin(pitch), np.cos(yaw) * np.cos(pitch)])


def gaze_rows(pairs: Sequence[Pair]) -> list[Row]:
    """The look as an angle and as a word."""
    angles, counted = gaze_angle_errors(pairs)
    rows = [
        Row(
            "gaze angle",
            counted,
            len(angles) / counted,
            f"median {np.median(angles):.2f}°, 95th {np.percentile(angles, 95):.1f}°",
            "median 5°",
            bool(np.median(angles) <= 5),
        )
    ]
    words = gaze_words(pairs)
    decided = [(true, found) for true, found in words if found != "unsure"]
    right = sum(a == b for a, b in decided) / len(decided)
    always = sum(true == "camera" for true, _ in decided) / len(decided)
    unsure = 1 - len(decided) / len(words)
    swapped = sum({a, b} == {"left", "right"} for a, b in decided)
    rows.append(
        Row(
            "gaze word",
            len(words),
            1 - unsure,
            f"{right:.1%} right of those decided (always 'camera': {always:.1%}), unsure {unsure:.1%}, "
            f"left for right {swapped}",
            "93 %, 15 points over 'camera', unsure ≤ 15 %, never left for right",
            right >= 0.93 and right - always >= 0.15 and unsure <= 0.15 and swapped == 0,
        )
    )
    return rows


def gaze_words(pairs: Sequence[Pair]) -> list[tuple[str, str]]:
    """True and measured word for every open-eyed sitter off the borders; null counts as `unsure`."""
    return [
        (pair.person.gaze_word, str(pair.value("gaze") or "unsure"))
        for pair in pairs
        if pair.person is not None
        and eyes_can_be_read(pair, pair.person)
        and not pair.person.gaze_is_on_a_border
    ]
