"""How the head is turned, relative to the direction to the camera.

The face is aligned with the usual face; what remains between the two (how far each point lies from
where it should) says by how much that alignment is out, learned by ridge regression on rendered
sitters (training/train_head.py). Yaw and roll are learned from the antisymmetric part, pitch from the
symmetric one, so that a mirrored face gives mirrored angles exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.face_shape import Posture, posture, usual_face
from eyeline.measuring.network_file import arrays_in
from eyeline.measuring.rotation import decompose
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

NAMES = ("head_yaw_deg", "head_pitch_deg", "head_roll_deg")

SKIN_POINTS = 468
"""The points of the mesh without the irises, which turn with the gaze and not with the head."""

LARGEST_CORRECTION_DEG = 12.0
"""No correction goes beyond this: rendered sitters need 10° at the most, and a face unlike all of
them is better served by the plain alignment than by an extrapolation."""


def head_angles(landmarks: NDArray[np.float32]) -> tuple[float, float, float]:
    """Yaw, pitch, roll in degrees of the head with `landmarks` (478, 3)."""
    return corrected_angles(posture(landmarks))


def corrected_angles(face: Posture) -> tuple[float, float, float]:
    """Yaw, pitch, roll in degrees of an aligned `face`."""
    plain = decompose(face.rotation)
    antisymmetric, symmetric = shape_features(face, plain)
    yaw, pitch, roll = (
        float(angle + np.clip(weights @ features, -LARGEST_CORRECTION_DEG, LARGEST_CORRECTION_DEG))
        for angle, weights, features in zip(
            plain, _weights(), (antisymmetric, symmetric, antisymmetric), strict=True
        )
    )
    return yaw, pitch, roll


def shape_features(
    face: Posture, angles: tuple[float, float, float]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """What changes sign in a mirror (1409,), and what does not (1409,), of an aligned face.

    Centimetres off the usual face, symmetric and antisymmetric part, then products of the angles in
    units of 30°.
    """
    usual = usual_face()
    middle = usual.weight @ usual.points[usual.rigid]
    off = face.upright - (usual.points - middle)
    there = off[usual.mirror] * (-1.0, 1.0, 1.0)
    yaw, pitch, roll = np.array(angles) / 30.0
    antisymmetric = ((off - there) / 2)[:SKIN_POINTS].ravel()
    symmetric = ((off + there) / 2)[:SKIN_POINTS].ravel()
    return (
        np.concatenate([antisymmetric, [yaw, roll, yaw * pitch, roll * pitch, yaw**3]]),
        np.concatenate([symmetric, [1.0, pitch, yaw**2, pitch**2, yaw * roll]]),
    )


@cache
def _weights() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Degrees per feature, for yaw, pitch, roll; each (1409,)."""
    arrays = arrays_in("head.npz", np.float64)
    return arrays["yaw"], arrays["pitch"], arrays["roll"]


def measure_head(subject: Subject) -> Sequence[Measurement]:
    """Yaw, pitch and roll in degrees; 0, 0, 0 = the face points into the lens, upright."""
    return [
        Measurement(name, round(angle, 2))
        for name, angle in zip(NAMES, head_angles(subject.sitter.landmarks), strict=True)
    ]


MEASURE = SitterMeasure(
    quantities=(
        Quantity("head_yaw_deg", "degrees", "turn of the face; + = toward frame right"),
        Quantity("head_pitch_deg", "degrees", "nod of the face; + = chin up"),
        Quantity("head_roll_deg", "degrees", "tilt of the head; + = clockwise as the viewer sees it"),
    ),
    function=measure_head,
    source="orthogonal Procrustes alignment (Kabsch 1976; Umeyama 1991) and ridge regression on the mesh",
)
