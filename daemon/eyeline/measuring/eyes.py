"""How far the lids are open, and whether both eyes are."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp
from typing import Any

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.face_shape import posture
from eyeline.measuring.head import NO_LANDMARKS
from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject

LIDS = ((33, 160, 158, 133, 153, 144), (362, 385, 387, 263, 373, 380))
"""Corner, two points on the upper lid, corner, two on the lower lid: of the eye on the frame's left,
then right (the six-point set in common use for this mesh)."""

OPEN_SLOPE, OPEN_MIDDLE = 60.2, 0.194
"""Logistic curve of "both eyes are open" over the mean aspect ratio, fitted on rendered sitters."""

CLOSED_SLOPE, CLOSED_MIDDLE = 30.7, 0.126
"""The same for "the eyes are closed"."""


def aspect_ratio(six: NDArray[np.floating[Any]]) -> float:
    """Eye aspect ratio of six points (6, n): mean of two lid gaps over the distance of the corners.

    0 = lids together. Soukupová & Čech, CVWW 2016. Unchanged by shift, scale and rotation.
    """
    first, second = np.linalg.norm(six[1] - six[5]), np.linalg.norm(six[2] - six[4])
    return float((first + second) / (2 * np.linalg.norm(six[0] - six[3])))


def openings(landmarks: NDArray[np.float32]) -> tuple[float, float]:
    """Aspect ratio of the eye on the frame's left and right, as projected in the picture."""
    left, right = (aspect_ratio(landmarks[list(lids), :2]) for lids in LIDS)
    return left, right


def openness(landmarks: NDArray[np.float32]) -> float:
    """Mean aspect ratio of both eyes in the head's own axes: turning the head does not change it."""
    upright = posture(landmarks).upright
    return float(np.mean([aspect_ratio(upright[list(lids)]) for lids in LIDS]))


def probability_open(landmarks: NDArray[np.float32]) -> float:
    """Probability that both eyes are open, 0 to 1."""
    return _logistic(OPEN_SLOPE * (openness(landmarks) - OPEN_MIDDLE))


def probability_closed(landmarks: NDArray[np.float32]) -> float:
    """Probability that the eyes are closed, not merely narrow, 0 to 1."""
    return _logistic(CLOSED_SLOPE * (CLOSED_MIDDLE - openness(landmarks)))


def measure_eyes(subject: Subject) -> Sequence[Measurement]:
    """Opening of each eye and the probability that both are open."""
    names = [quantity.name for quantity in MEASURE.quantities]
    sitter = subject.seen.sitter
    if sitter is None or sitter.landmarks is None:
        return [Measurement(name, None, NO_LANDMARKS) for name in names]
    left, right = openings(sitter.landmarks)
    values = (left, right, probability_open(sitter.landmarks))
    return [Measurement(name, round(value, 4)) for name, value in zip(names, values, strict=True)]


def _logistic(score: float) -> float:
    return 1 / (1 + exp(-score)) if score >= 0 else exp(score) / (1 + exp(score))


MEASURE = Measure(
    quantities=(
        Quantity("eye_opening_left", "ratio", "lid opening over eye width, eye on the frame's left"),
        Quantity("eye_opening_right", "ratio", "lid opening over eye width, eye on the frame's right"),
        Quantity("eyes_open", "0 to 1", "probability that both eyes are open"),
    ),
    function=measure_eyes,
    source="eye aspect ratio (Soukupová & Čech, CVWW 2016)",
)
