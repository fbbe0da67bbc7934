"""Where the eyes point, relative to the direction to the camera, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eyes import LIDS, probability_closed
from eyeline.measuring.face_shape import posture
from eyeline.measuring.head import NO_LANDMARKS
from eyeline.measuring.pupils import CENTRES
from eyeline.measuring.rotation import decompose
from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject

CAMERA_YAW_DEG, CAMERA_PITCH_DEG = 8.0, 12.0
"""A gaze within these of the lens is `camera`: the widest published cone in which people feel looked
at (±4.5°) plus the error of an estimate from one picture, which is larger up and down."""

LEAST_CONFIDENCE = 0.6
"""Below this probability of its being right the word is `unsure`."""

CLOSED_FROM = 0.5
"""Probability of closed eyes from which there is no gaze to speak of."""

ERROR_YAW_DEG, ERROR_PITCH_DEG = 4.2, 5.8
"""Standard deviation of the two angles' errors on rendered sitters."""

YAW_OF_FACE, YAW_OF_IRIS = 0.869, 52.25
PITCH_OF_FACE, PITCH_OF_IRIS, PITCH_AT_REST = 0.802, 71.98, -8.54
"""Degrees of gaze per degree of head and per centimetre that the iris lies off the middle of the
eye's corners in the head's own axes; fitted on rendered sitters."""

WORDS = ("camera", "left", "right", "up", "down")

_REACH = np.linspace(-4, 4, 81)
"""Standard deviations at which the normal error is sampled: beyond 4 lies less than 1 in 10 000."""


def gaze_angles(landmarks: NDArray[np.float32]) -> tuple[float, float]:
    """Yaw (+ = toward frame right) and pitch (+ = up) of the gaze in degrees; 0, 0 = into the lens."""
    face = posture(landmarks)
    yaw, pitch, _ = decompose(face.rotation)
    across, up = np.mean(
        [
            face.upright[centre, :2] - (face.upright[lids[0], :2] + face.upright[lids[3], :2]) / 2
            for centre, lids in zip(CENTRES, LIDS, strict=True)
        ],
        axis=0,
    )
    return (
        float(YAW_OF_FACE * yaw + YAW_OF_IRIS * across),
        float(PITCH_OF_FACE * pitch + PITCH_OF_IRIS * up + PITCH_AT_REST),
    )


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


def measure_gaze(subject: Subject) -> Sequence[Measurement]:
    """Angles, word and confidence of the gaze."""
    names = [quantity.name for quantity in MEASURE.quantities]
    sitter = subject.seen.sitter
    if sitter is None or sitter.landmarks is None:
        return [Measurement(name, None, NO_LANDMARKS) for name in names]
    closed = probability_closed(sitter.landmarks)
    if closed >= CLOSED_FROM:
        shut = "the eyes are closed"
        return [
            Measurement("gaze_yaw_deg", None, shut),
            Measurement("gaze_pitch_deg", None, shut),
            Measurement("gaze", "closed"),
            Measurement("gaze_confidence", round(closed, 3)),
        ]
    yaw, pitch = gaze_angles(sitter.landmarks)
    probable = word_probabilities(yaw, pitch, ERROR_YAW_DEG, ERROR_PITCH_DEG)
    word = max(probable, key=lambda each: probable[each])
    confidence = probable[word] * (1 - closed)
    return [
        Measurement("gaze_yaw_deg", round(yaw, 2)),
        Measurement("gaze_pitch_deg", round(pitch, 2)),
        Measurement("gaze", word if confidence >= LEAST_CONFIDENCE else "unsure"),
        Measurement("gaze_confidence", round(confidence, 3)),
    ]


MEASURE = Measure(
    quantities=(
        Quantity("gaze_yaw_deg", "degrees", "gaze to the side; + = toward frame right, 0 = into the lens"),
        Quantity("gaze_pitch_deg", "degrees", "gaze up or down; + = up, 0 = into the lens"),
        Quantity("gaze", "word", "where the eyes point", (*WORDS, "unsure", "closed")),
        Quantity("gaze_confidence", "0 to 1", "calibrated probability that the word is right"),
    ),
    function=measure_gaze,
    source="face normal and iris offset; borders from the published cones of gaze",
)
