"""The usual shape of a face, and where one face stands against it: turn, size and what remains.

`face.npz` holds the mean of the mesh over rendered sitters whose true head pose undid their turn
(training/train_head.py), made symmetric, in centimetres; its pitch is zero where mediapipe's canonical face
model faces the lens. The 33 points that carry the alignment are those of mediapipe's own face
geometry module (geometry_pipeline_metadata); each weighs by the inverse of its variance over sitters.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.network_file import arrays_in

Points3 = NDArray[np.float64]
"""(478, 3)."""


@dataclass(frozen=True, slots=True, eq=False)
class FaceShape:
    """`points` (478, 3) of the usual face; `mirror` (478,): the index of each point's mirror image;
    `rigid` (33,) indices and `weight` (33,), which sum to 1, of the points that hold still in a face.
    """

    points: Points3
    mirror: NDArray[np.int64]
    rigid: NDArray[np.int64]
    weight: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Posture:
    """How a face stands: `rotation` (3, 3), `scale` pixels per centimetre of the usual face, and
    `upright` (478, 3): the landmarks turned back to face the lens, in centimetres, axes x right, y up,
    z toward the camera, about the middle of the rigid points.
    """

    rotation: NDArray[np.float64]
    scale: float
    upright: Points3


@cache
def usual_face() -> FaceShape:
    """The shape that the package carries."""
    arrays = arrays_in("face.npz", np.float64)
    return FaceShape(
        arrays["shape"],
        arrays["mirror"].astype(np.int64),
        arrays["rigid"].astype(np.int64),
        arrays["rigid_weight"],
    )


def posture(landmarks: NDArray[np.float32]) -> Posture:
    """Align `landmarks` (478, 3; pixels, y down, z away from the camera) with the usual face.

    Weighted orthogonal Procrustes alignment with scale (Kabsch 1976; Umeyama 1991). No focal length
    is needed: the mesh is a weak-perspective picture of the head, so that the turn is relative to the
    direction to the camera.
    """
    return _posture(landmarks.tobytes(), landmarks.dtype.char)


@lru_cache(maxsize=2)  # several measures of one photo ask for the sitter's
def _posture(data: bytes, kind: str) -> Posture:
    """The posture of landmarks, as bytes of numbers of a NumPy `kind`."""
    face, (weighted, spread) = usual_face(), _usual_rigid()
    here = np.frombuffer(data, kind).reshape(-1, 3).astype(np.float64) * (1.0, -1.0, -1.0)
    rigid = here[face.rigid]
    middle = face.weight @ rigid
    u, s, vt = np.linalg.svd((rigid - middle).T @ weighted)
    sign = np.array([1.0, 1.0, np.sign(np.linalg.det(u @ vt))])
    rotation = (u * sign) @ vt
    scale = float(s @ sign / spread)
    upright = (here - middle) @ rotation / scale
    for shared in (rotation, upright):
        shared.setflags(write=False)
    return Posture(rotation, scale, upright)


@cache
def _usual_rigid() -> tuple[NDArray[np.float64], float]:
    """The usual face's rigid points about their middle, each times its weight (33, 3), and the weighted mean
    of their squared distances from it.
    """
    face = usual_face()
    points = face.points[face.rigid] - face.weight @ face.points[face.rigid]
    weighted = face.weight[:, None] * points
    return weighted, float((weighted * points).sum())


def mirrored(landmarks: NDArray[np.float32], width: float) -> NDArray[np.float32]:
    """What the mesh of the mirrored picture of `width` pixels would be, in the mesh's own order."""
    flipped = landmarks[usual_face().mirror].copy()
    flipped[:, 0] = np.float32(width) - flipped[:, 0]
    return flipped
