"""Where the eyes point, relative to the direction to the camera, and how sure that is.

The angles are the eye networks'. The constants come from training/calibrate_eyes.py: photographed eyes with
irises moved by known angles and rendered eyes, of people whom the networks had not seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, hypot, log

import numpy as np

from eyeline.terms.eyes import EyesSeen

CAMERA_YAW_DEG, CAMERA_PITCH_DEG = 8.0, 12.0
"""A gaze within these of the lens is `camera`: the widest published cone in which people feel looked
at (±4.5°) plus the error of an estimate from one picture, which is larger up and down."""

LEAST_CONFIDENCE = 0.76
"""Below this probability of its being right the word is `unsure`. From there on, of people whom the
networks had not seen, 99 % of the decided words of moved irises are right and 6 % unsure in good pictures,
98 % and 11 % in bad ones; of rendered eyes 97 % and 21 %, 95 % and 26 %. A wrong word costs more than
none."""

YAW_ERROR_OVER_STATED, PITCH_ERROR_OVER_STATED = 1.13, 1.57
"""Size of the networks' errors over the deviations that they state."""

CAMERA_CURVE, SIDE_CURVE, STEEP_CURVE = (1.290, -0.564), (1.347, -0.112), (0.833, -0.061)
"""Slope and intercept of the logistic curves from the log odds of the most probable word to the share of
words that were right: of `camera`; of `left` and `right`; of `up` and `down`, which are less often right:
lids hide the iris there, and one picture does not tell a head's own level. For `camera` looks count as if
INTO_LENS of them went into the lens."""

INTO_LENS = 0.6
"""Share of portraits that look into the lens, at the least (common practice; of most sets nine in ten do). It
turns doubt into `camera`, and no more: whether a look is off the lens is asked of its angles alone."""

CURVES = {
    "camera": CAMERA_CURVE,
    "left": SIDE_CURVE,
    "right": SIDE_CURVE,
    "up": STEEP_CURVE,
    "down": STEEP_CURVE,
}
"""The curve of each word."""

WORDS = tuple(CURVES)

INTO_LENS_DEVIATION_DEG, ANYWHERE_DEVIATION_DEG = (4.0, 5.0), (16.0, 12.0)
"""Standard deviations across and up of looks into the lens, as eyes and heads differ (the line of sight runs
up to 5 degrees off the pupil's axis; a head's own level is not told by one picture), and of all other looks
(of irises moved evenly over what sitters are asked for)."""

MEANT_FOR_LENS = 1 / 3
"""Share of the first of these two before the angles are seen; CAMERA_CURVE makes up for its size."""

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
    confidence = {
        word: _curved(word, probability)
        for word, probability in word_probabilities(
            yaw_deg, pitch_deg, yaw_error_deg, pitch_error_deg
        ).items()
    }
    into_lens = into_lens_probability(yaw_deg, pitch_deg, yaw_error_deg, pitch_error_deg)
    confidence["camera"] = _curved("camera", into_lens)
    word = max(confidence, key=lambda each: confidence[each])
    return Gaze(yaw_deg, pitch_deg, yaw_error_deg, pitch_error_deg, word, confidence[word])


def _curved(word: str, probability: float) -> float:
    slope, intercept = CURVES[word]
    return 1 / (1 + exp(-(slope * log_odds(probability) + intercept)))


def log_odds(probability: float) -> float:
    """Logarithm of the odds of a `probability`, which counts as one in a million at the least or most."""
    bounded = min(max(probability, 1e-6), 1 - 1e-6)
    return log(bounded / (1 - bounded))


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


def _within(mean: float, error: float, border: float) -> float:
    """How probable it is that an angle with this normal error lies within `border` of 0."""
    weight = np.exp(-(_REACH**2) / 2)
    return float(weight[abs(mean + _REACH * error) < border].sum() / weight.sum())


def into_lens_probability(
    yaw_deg: float, pitch_deg: float, yaw_error_deg: float, pitch_error_deg: float
) -> float:
    """How probable `camera` is for an estimate with these normal errors, where some looks are meant for the
    lens and all others go anywhere: the vaguer the estimate, the more it says that it was one of the first
    (Bayes' rule with a mixture of two normal distributions)."""
    weights, camera = [], []
    for share, deviations in (
        (MEANT_FOR_LENS, INTO_LENS_DEVIATION_DEG),
        (1 - MEANT_FOR_LENS, ANYWHERE_DEVIATION_DEG),
    ):
        likely, where = share, []
        for angle, error, deviation in zip(
            (yaw_deg, pitch_deg), (yaw_error_deg, pitch_error_deg), deviations, strict=True
        ):
            spread = hypot(error, deviation)
            likely *= exp(-((angle / spread) ** 2) / 2) / spread
            where.append((angle * (deviation / spread) ** 2, error * deviation / spread))
        (yaw, yaw_left), (pitch, pitch_left) = where
        weights.append(likely)
        camera.append(_within(yaw, yaw_left, CAMERA_YAW_DEG) * _within(pitch, pitch_left, CAMERA_PITCH_DEG))
    whole = sum(weights)
    return sum(w * c for w, c in zip(weights, camera, strict=True)) / whole if whole > 0 else 0.0
