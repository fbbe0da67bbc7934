"""What is usual for a sitter's eyes, learned from the sitter's own frames, and measuring against it.

Narrow eyes are not half closed, and nobody's eyes sit quite where a model of all people expects them.
Works on measurements alone, so that a whole sitting is read from the ledger.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from eyeline.measuring.eyes import logistic
from eyeline.measuring.gaze import CAMERA_PITCH_DEG, CAMERA_YAW_DEG
from eyeline.terms.measurement import Measurement

LEAST_FRAMES = 5
"""Frames from which something can be called usual."""

USUAL_QUANTILE = 0.75
"""The usual opening is the upper quartile of the frames': blinks, which are a few in a hundred, and looks
down lie below it."""

SHARE_SLOPE, SHARE_INTERCEPT = 11.48, -7.57
"""Logistic curve from the share of the usual opening to the probability that both eyes are open, fitted
on rendered sitters that the network had not seen (training/calibrate_eyes.py): half at 0.66."""

FLOOR_OPENING = 0.10
"""Opening below which no eye is open, whoever's it is (reference-values §7; a proposal)."""

TRUSTED_AT_FRAMES = 10
"""Frames at which half of the sitter's own zero of gaze is believed: the rest stays with the lens."""


@dataclass(frozen=True, slots=True)
class UsualEyes:
    """A sitter's usual `opening` (lid gap over eye width) and zero of gaze, degrees."""

    opening: float
    gaze_yaw_deg: float
    gaze_pitch_deg: float


def usual_eyes(frames: Sequence[Mapping[str, Measurement]]) -> UsualEyes | None:
    """What is usual over the measured `frames` of one sitter; None for fewer than LEAST_FRAMES.

    The zero of gaze is the median over the frames that look into the lens, drawn toward 0, 0 the more the
    fewer these are.
    """
    openings = [each for frame in frames if (each := _opening(frame)) is not None]
    if len(openings) < LEAST_FRAMES:
        return None
    looks = np.array([look for frame in frames if (look := _look(frame)) is not None]).reshape(-1, 2)
    ahead = looks[(abs(looks) < (CAMERA_YAW_DEG, CAMERA_PITCH_DEG)).all(axis=1)]
    yaw, pitch = (
        np.median(ahead, axis=0) * len(ahead) / (len(ahead) + TRUSTED_AT_FRAMES) if len(ahead) else (0.0, 0.0)
    )
    return UsualEyes(float(np.quantile(openings, USUAL_QUANTILE)), float(yaw), float(pitch))


def relative_to_sitter(frame: Mapping[str, Measurement], usual: UsualEyes) -> dict[str, Measurement]:
    """`frame` with `eyes_open`, `gaze_yaw_deg` and `gaze_pitch_deg` against what is `usual`; what is
    missing stays missing.
    """
    changed = dict(frame)
    opening = _opening(frame)
    if opening is not None and usual.opening > 0:
        probability = logistic(SHARE_SLOPE * opening / usual.opening + SHARE_INTERCEPT)
        own = frame["eyes_open"].value
        if opening < FLOOR_OPENING and isinstance(own, int | float):
            probability = min(probability, float(own))
        changed["eyes_open"] = Measurement("eyes_open", round(probability, 4))
    look = _look(frame)
    if look is not None:
        for name, angle, zero in zip(
            ("gaze_yaw_deg", "gaze_pitch_deg"), look, (usual.gaze_yaw_deg, usual.gaze_pitch_deg), strict=True
        ):
            changed[name] = Measurement(name, round(angle - zero, 2))
    return changed


def _opening(frame: Mapping[str, Measurement]) -> float | None:
    """Mean opening of both eyes."""
    pair = _numbers(frame, "eye_opening_left", "eye_opening_right")
    return None if pair is None else sum(pair) / 2


def _look(frame: Mapping[str, Measurement]) -> tuple[float, float] | None:
    return _numbers(frame, "gaze_yaw_deg", "gaze_pitch_deg")


def _numbers(frame: Mapping[str, Measurement], first: str, second: str) -> tuple[float, float] | None:
    values = [frame[name].value if name in frame else None for name in (first, second)]
    if not all(isinstance(value, int | float) for value in values):
        return None
    return float(values[0] or 0), float(values[1] or 0)
