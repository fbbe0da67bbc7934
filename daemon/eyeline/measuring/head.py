"""How the head is turned, relative to the direction to the camera."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.face_shape import posture
from eyeline.measuring.rotation import decompose
from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject

NAMES = ("head_yaw_deg", "head_pitch_deg", "head_roll_deg")
NO_LANDMARKS = "the face was found, but not its features"


def head_angles(landmarks: NDArray[np.float32]) -> tuple[float, float, float]:
    """Yaw, pitch, roll in degrees of the head with `landmarks` (478, 3)."""
    return decompose(posture(landmarks).rotation)


def measure_head(subject: Subject) -> Sequence[Measurement]:
    """Yaw, pitch and roll in degrees; 0, 0, 0 = the face points into the lens, upright."""
    sitter = subject.seen.sitter
    if sitter is None or sitter.landmarks is None:
        return [Measurement(name, None, NO_LANDMARKS) for name in NAMES]
    return [
        Measurement(name, round(angle, 2))
        for name, angle in zip(NAMES, head_angles(sitter.landmarks), strict=True)
    ]


MEASURE = Measure(
    quantities=(
        Quantity("head_yaw_deg", "degrees", "turn of the face; + = toward frame right"),
        Quantity("head_pitch_deg", "degrees", "nod of the face; + = chin up"),
        Quantity("head_roll_deg", "degrees", "tilt of the head; + = clockwise as the viewer sees it"),
    ),
    function=measure_head,
    source="orthogonal Procrustes alignment (Kabsch 1976; Umeyama 1991) on the face mesh",
)
