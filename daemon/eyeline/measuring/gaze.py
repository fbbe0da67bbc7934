"""Where the eyes point, relative to the direction to the camera, and how sure that is.

Two estimates are joined: the eye network's, which has learned from rendered sitters what eyes look like,
and plain geometry on the face mesh, which was trained on photographs: face normal plus iris offset.
Constants come from training/calibrate_eyes.py: rendered sitters that the network had not seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_network import EyesSeen
from eyeline.measuring.face_shape import posture
from eyeline.measuring.pupils import CENTRES
from eyeline.measuring.rotation import decompose

CAMERA_YAW_DEG, CAMERA_PITCH_DEG = 8.0, 12.0
"""A gaze within these of the lens is `camera`: the widest published cone in which people feel looked
at (±4.5°) plus the error of an estimate from one picture, which is larger up and down."""

LEAST_CONFIDENCE = 0.5
"""Below this probability of its being right the word is `unsure`."""

YAW_OF_FACE, YAW_OF_IRIS = 0.835, 50.37
PITCH_OF_FACE, PITCH_OF_IRIS, PITCH_AT_REST = 0.704, 54.15, -5.23
"""Geometry: degrees of gaze per degree of head and per centimetre that the iris lies off the middle of
the eye's corners in the head's own axes."""

GEOMETRY_YAW_SHARE, GEOMETRY_PITCH_SHARE = 0.1, 0.5
"""What plain geometry counts beside the network. Up and down it counts as much as the network: alone,
the network answers some 9° too high on photographs of real people, whose look is level. 0.5 was chosen
with those photographs in view; the rendered crowd alone would give geometry next to nothing."""

YAW_ERROR_OVER_STATED, PITCH_ERROR_OVER_STATED = 0.62, 0.58
"""Size of the network's errors over the standard deviations that it states, disagreement left aside."""

RIGHT_SLOPE, RIGHT_INTERCEPT = 1.451, -1.759
"""Logistic curve from the log odds of the most probable word to the share of words that were right."""

CORNERS = ((33, 133), (362, 263))
"""Corners of the eye on the frame's left, then right."""

WORDS = ("camera", "left", "right", "up", "down")

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


def gaze(seen: EyesSeen, landmarks: NDArray[np.float32]) -> Gaze:
    """The gaze of open eyes that the network has `seen`, with the `landmarks` (478, 3) it looked by."""
    face_yaw, face_pitch, across, up = iris_offset(landmarks)
    plain_yaw = YAW_OF_FACE * face_yaw + YAW_OF_IRIS * across
    plain_pitch = PITCH_OF_FACE * face_pitch + PITCH_OF_IRIS * up + PITCH_AT_REST
    yaw, yaw_error = joined(
        seen.gaze_yaw_deg, plain_yaw, GEOMETRY_YAW_SHARE, seen.gaze_yaw_error_deg * YAW_ERROR_OVER_STATED
    )
    pitch, pitch_error = joined(
        seen.gaze_pitch_deg,
        plain_pitch,
        GEOMETRY_PITCH_SHARE,
        seen.gaze_pitch_error_deg * PITCH_ERROR_OVER_STATED,
    )
    return gaze_at(yaw, pitch, yaw_error, pitch_error)


def joined(network: float, geometry: float, share: float, error: float) -> tuple[float, float]:
    """Mean of two estimates of an angle, `geometry` counting by `share`, and its standard deviation: that
    of the network, `error`, and the spread of the two about their mean.
    """
    spread = share * (1 - share) * (network - geometry) ** 2
    return (1 - share) * network + share * geometry, (error**2 + spread) ** 0.5


def gaze_at(yaw_deg: float, pitch_deg: float, yaw_error_deg: float, pitch_error_deg: float) -> Gaze:
    """A gaze by its angles and their standard deviations: finds the word and its confidence."""
    probable = word_probabilities(yaw_deg, pitch_deg, yaw_error_deg, pitch_error_deg)
    word = max(probable, key=lambda each: probable[each])
    odds = log(probable[word] / max(1 - probable[word], 1e-6))
    confidence = 1 / (1 + exp(-(RIGHT_SLOPE * odds + RIGHT_INTERCEPT)))
    return Gaze(yaw_deg, pitch_deg, yaw_error_deg, pitch_error_deg, word, confidence)


def iris_offset(landmarks: NDArray[np.float32]) -> tuple[float, float, float, float]:
    """Yaw and pitch of the plainly aligned face in degrees, and how far the irises lie off the middle of
    the eyes' corners to the right and up, in centimetres in the head's own axes, mean of both eyes.
    """
    face = posture(landmarks)
    yaw, pitch, _ = decompose(face.rotation)
    across, up = np.mean(
        [
            face.upright[centre, :2] - face.upright[list(corners), :2].mean(axis=0)
            for centre, corners in zip(CENTRES, CORNERS, strict=True)
        ],
        axis=0,
    )
    return yaw, pitch, float(across), float(up)


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
