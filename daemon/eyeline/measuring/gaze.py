"""Where the eyes point, relative to the direction to the camera, and how sure that is.

The angles are the eye networks'. The constants come from training/calibrate_eyes.py: photographed eyes with
irises moved by known angles and rendered eyes, of people whom the networks had not seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np

from eyeline.terms.eyes import EyesSeen

CAMERA_YAW_DEG, CAMERA_PITCH_DEG = 8.0, 12.0
"""A gaze within these of the lens is `camera`: the widest published cone in which people feel looked
at (±4.5°) plus the error of an estimate from one picture, which is larger up and down."""

LEAST_CONFIDENCE = 0.76
"""Below this probability of its being right the word is `unsure`. From there on, of people whom the
networks had not seen, 99 % of the decided words of moved irises are right and 6 % unsure in good pictures,
98 % and 13 % in bad ones; of rendered eyes 99 % and 28 %, 98 % and 35 %. A wrong word costs more than
none."""

YAW_ERROR_OVER_STATED, PITCH_ERROR_OVER_STATED = 1.13, 1.57
"""Size of the networks' errors over the deviations that they state."""

CAMERA_CURVE, SIDE_CURVE, STEEP_CURVE = (1.171, 0.398), (1.347, -0.112), (0.833, -0.061)
"""Slope and intercept of the logistic curves from the log odds of the most probable word to the share of
words that were right: of `camera`; of `left` and `right`; of `up` and `down`, which are less often right:
lids hide the iris there, and one picture does not tell a head's own level."""

CURVES = {
    "camera": CAMERA_CURVE,
    "left": SIDE_CURVE,
    "right": SIDE_CURVE,
    "up": STEEP_CURVE,
    "down": STEEP_CURVE,
}
"""The curve of each word."""

WORDS = tuple(CURVES)

_REACH = np.linspace(-4, 4, 81)
"""Standard deviations at which the normal error is sampled: beyond 4 lies less than 1 in 10 000."""


@dataclass(frozen=True, slots=True)
class Gaze:
    """Degrees: `yaw` + = toward frame right, `pitch` + = up, 0, 0 = into the lens; standard deviations
    of both; the most probable `word` (one of WORDS) and the calibrated `confidence` that it is right.
    """

    yaw_deg: float
    pitch_deg: float
    yaw_error_deg: float
    pitch_error_deg: float
    word: str
    confidence: float


def gaze(seen: EyesSeen) -> Gaze:
    """The gaze of open eyes that the networks have `seen`."""
    return gaze_at(
        seen.gaze_yaw_deg,
        seen.gaze_pitch_deg,
        seen.gaze_yaw_error_deg * YAW_ERROR_OVER_STATED,
        seen.gaze_pitch_error_deg * PITCH_ERROR_OVER_STATED,
    )


def gaze_at(yaw_deg: float, pitch_deg: float, yaw_error_deg: float, pitch_error_deg: float) -> Gaze:
    """A gaze by its angles and their standard deviations: finds the word and its confidence."""
    probable = word_probabilities(yaw_deg, pitch_deg, yaw_error_deg, pitch_error_deg)
    word = max(probable, key=lambda each: probable[each])
    odds = log(probable[word] / max(1 - probable[word], 1e-6))
    slope, intercept = CURVES[word]
    confidence = 1 / (1 + exp(-(slope * odds + intercept)))
    return Gaze(yaw_deg, pitch_deg, yaw_error_deg, pitch_error_deg, word, confidence)


def word_of(yaw_deg: float, pitch_deg: float) -> str:
    """The word for a gaze that is known exactly: `camera` inside the borders, else the side whose
    border is exceeded by the larger share.
    """
    across, up = yaw_deg / CAMERA_YAW_DEG, pitch_deg / CAMERA_PITCH_DEG
    if max(abs(across), abs(up)) < 1:
        return "camera"
    if abs(across) >= abs(up):
        return "right" if across > 0 else "left"
    return "up" if up > 0 else "down"


def word_probabilities(
    yaw_deg: float, pitch_deg: float, yaw_error_deg: float, pitch_error_deg: float
) -> dict[str, float]:
    """How probable each of WORDS is for an estimate with normal errors of the given deviations."""
    across, up = (
        (abs(mean) + _REACH * error) / border  # one quarter stands for all four: mirrored alike
        for mean, error, border in (
            (yaw_deg, yaw_error_deg, CAMERA_YAW_DEG),
            (pitch_deg, pitch_error_deg, CAMERA_PITCH_DEG),
        )
    )
    weight = np.exp(-(_REACH**2) / 2)
    joint = np.outer(weight, weight) / weight.sum() ** 2
    x, y = np.broadcast_arrays(across[:, None], up[None, :])
    outside = joint * (np.maximum(abs(x), abs(y)) >= 1)
    sideways = abs(x) >= abs(y)
    ahead_x, back_x = float(outside[sideways & (x >= 0)].sum()), float(outside[sideways & (x < 0)].sum())
    ahead_y, back_y = float(outside[~sideways & (y >= 0)].sum()), float(outside[~sideways & (y < 0)].sum())
    right, left = (ahead_x, back_x) if yaw_deg >= 0 else (back_x, ahead_x)
    above, below = (ahead_y, back_y) if pitch_deg >= 0 else (back_y, ahead_y)
    return {
        "camera": 1 - (left + right + above + below),
        "left": left,
        "right": right,
        "up": above,
        "down": below,
    }
