"""How the head is turned, relative to the direction to the camera.

The face is aligned with the usual face; the antisymmetric part of what remains between the two (how far
each point lies from where it should) says by how much yaw and roll are out, learned by ridge regression on
rendered sitters (training/train_head.py). On 102 studio portraits that moves neither mean by more than 0.1
degrees, and the scatter of yaw falls from 2.5 to 2.3. Pitch is that of the alignment: a correction learned
alike moved its mean there by 4.6 degrees and widened its scatter from 4.6 to 5.9. A mirrored face gives
mirrored angles.
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
    yaw, pitch, roll = decompose(face.rotation)
    features = asymmetry(face, (yaw, pitch, roll))
    off_yaw, off_roll = (
        float(np.clip(weights @ features, -LARGEST_CORRECTION_DEG, LARGEST_CORRECTION_DEG))
        for weights in _weights()
    )
    return yaw + off_yaw, pitch, roll + off_roll


def asymmetry(face: Posture, angles: tuple[float, float, float]) -> NDArray[np.float64]:
    """What changes sign in a mirror, of an aligned face (1409,): the antisymmetric part of its centimetres
    off the usual face, then products of the angles in units of 30°.
    """
    usual = usual_face()
    middle = usual.weight @ usual.points[usual.rigid]
    off = face.upright - (usual.points - middle)
    there = off[usual.mirror] * (-1.0, 1.0, 1.0)
    yaw, pitch, roll = np.array(angles) / 30.0
    antisymmetric = ((off - there) / 2)[:SKIN_POINTS].ravel()
    return np.concatenate([antisymmetric, [yaw, roll, yaw * pitch, roll * pitch, yaw**3]])


@cache
def _weights() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Degrees per feature, for yaw and roll; each (1409,)."""
    arrays = arrays_in("head.npz", np.float64)
    return arrays["yaw"], arrays["roll"]


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
