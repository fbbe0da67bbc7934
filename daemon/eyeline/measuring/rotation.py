"""Rotations of a head: three angles to a matrix and back.

Axes: x to the right of the picture, y up, z toward the camera. A head is turned by
R = Ry(yaw) · Rx(−pitch) · Rz(−roll): yaw + = face toward frame right, pitch + = chin up,
roll + = clockwise as the viewer sees it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def compose(yaw_deg: float, pitch_deg: float, roll_deg: float) -> NDArray[np.float64]:
    """The matrix (3, 3) of a head turned by the three angles, degrees."""
    yaw, pitch, roll = np.radians([yaw_deg, -pitch_deg, -roll_deg])
    about_y = [[np.cos(yaw), 0, np.sin(yaw)], [0, 1, 0], [-np.sin(yaw), 0, np.cos(yaw)]]
    about_x = [[1, 0, 0], [0, np.cos(pitch), -np.sin(pitch)], [0, np.sin(pitch), np.cos(pitch)]]
    about_z = [[np.cos(roll), -np.sin(roll), 0], [np.sin(roll), np.cos(roll), 0], [0, 0, 1]]
    return np.asarray(np.array(about_y) @ np.array(about_x) @ np.array(about_z), np.float64)


def decompose(rotation: NDArray[np.float64]) -> tuple[float, float, float]:
    """Yaw, pitch and roll in degrees of `rotation` (3, 3), the inverse of `compose`.

    Unique for a pitch within ±90°; straight up or down, roll is 0 by choice of the arctangent.
    """
    yaw = np.arctan2(rotation[0, 2], rotation[2, 2])
    pitch = np.arcsin(np.clip(rotation[1, 2], -1.0, 1.0))
    roll = np.arctan2(-rotation[1, 0], rotation[1, 1])
    return float(np.degrees(yaw)), float(np.degrees(pitch)), float(np.degrees(roll))
