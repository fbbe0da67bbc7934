"""A small convolutional network that looks at both eyes: where they point, how far the lids are open,
where the irises are, and how sure it is. Plain numpy, about 60 000 weights (`eyes.npz`).

Trained by training/train_eyes.py on rendered sitters, split by sitter. Both eyes share the weights
(the eye on the frame's right is seen in a mirror) and are joined by what no mirror changes, so that a
mirrored picture gives mirrored answers by construction.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX, EyePatch, eye_patches
from eyeline.measuring.face_shape import posture, usual_face
from eyeline.measuring.head import corrected_angles
from eyeline.terms.eyes import EyesSeen
from eyeline.terms.face import Seen
from eyeline.terms.frame import Picture

Array = NDArray[np.float64]

OUTLINE = (33, 246, 161, 160, 159, 158, 157, 173, 133, 155, 154, 153, 145, 144, 163, 7)
IRIS = (468, 469, 470, 471, 472)
"""Lids and iris of the eye on the frame's left, indices of mediapipe's mesh."""

FLAT_LEVELS = 4.0
"""8-bit levels added to the deviation that a patch is divided by: a blank patch stays blank."""

STRIDES = {"c1": 2, "c2": 2, "c3": 1}
"""Step of each layer of 3 × 3 convolutions that sees the patch before the ways part."""

MAP_ROWS, MAP_COLUMNS = HEIGHT_PX // 4, WIDTH_PX // 4
"""Size of the map that says where the iris is."""


def sitters_eyes(picture: Picture, seen: Seen) -> EyesSeen | None:
    """Look at the eyes of the sitter whom `seen` names; None without a sitter whose landmarks were found."""
    if seen.sitter is None or seen.sitter.landmarks is None:
        return None
    return look_at_eyes(picture.rgb, seen.sitter.landmarks)


def look_at_eyes(rgb: NDArray[np.uint8], landmarks: NDArray[np.float32]) -> EyesSeen:
    """Look at both eyes of the face with `landmarks` (478, 3) in the picture `rgb` (M, N, 3)."""
    face = posture(landmarks)
    patches = eye_patches(rgb, landmarks, face)
    yaw, pitch, _ = corrected_angles(face)
    hidden, eyes = _each_eye(patches, landmarks, yaw, pitch)
    both = np.concatenate([hidden.mean(axis=0), abs(hidden[0] - hidden[1])])
    log_across, log_up, open_score, closed_score = _linear("jo", np.maximum(_linear("j", both), 0))
    trust = np.exp(eyes[:, 2] - eyes[:, 2].max())
    trust /= trust.sum()
    across, up = float(trust @ (eyes[:, 0] * (1, -1))), float(trust @ eyes[:, 1])
    gaze_yaw, gaze_pitch = _gaze(across, up, patches[0].roll)
    left, right = (patch.in_picture(_pixels(eye[3:5])) for patch, eye in zip(patches, eyes, strict=True))
    return EyesSeen(
        gaze_yaw_deg=gaze_yaw,
        gaze_pitch_deg=gaze_pitch,
        gaze_yaw_error_deg=float(np.degrees(np.exp(log_across))),
        gaze_pitch_error_deg=float(np.degrees(np.exp(log_up))),
        irises=((float(left[0]), float(left[1])), (float(right[0]), float(right[1]))),
        openings=(float(eyes[0, 5]), float(eyes[1, 5])),
        aperture=float(eyes[:, 6].mean()),
        iris_visible=float(eyes[:, 7].max()),
        open_score=float(open_score),
        closed_score=float(closed_score),
    )


def _each_eye(
    patches: Sequence[EyePatch], landmarks: NDArray[np.float32], yaw_deg: float, pitch_deg: float
) -> tuple[Array, Array]:
    """Hidden state (2, 48) and answers (2, 9) of the two eyes."""
    grey = np.stack([patch.grey for patch in patches])[:, None]
    level = grey.mean(axis=(2, 3), keepdims=True)
    deviation = grey.std(axis=(2, 3), keepdims=True, ddof=1)
    layer: NDArray[np.float32] = (grey - level) / (deviation + np.float32(FLAT_LEVELS))
    for name, stride in STRIDES.items():
        layer = np.maximum(_convolved(layer, name, stride), np.float32(0))
    where = _convolved(np.maximum(_convolved(layer, "h1", 1), np.float32(0)), "h2", 1).reshape(2, -1)
    weight = np.exp(where - where.max(axis=1, keepdims=True)).astype(np.float64)
    iris = weight @ map_places() / weight.sum(axis=1, keepdims=True)
    last = np.maximum(_convolved(layer, "c4", 2), np.float32(0))
    seen = np.maximum(_linear("f", last.reshape(2, -1).astype(np.float64)), 0)
    points = np.stack(
        [
            _centred(patch.from_picture(landmarks[indices, :2].astype(np.float64)))
            for patch, indices in zip(patches, _indices(), strict=True)
        ]
    )
    yaw, pitch = np.sin(np.radians(yaw_deg)), np.sin(np.radians(pitch_deg))
    head = np.array(
        [[side * yaw, pitch, yaw**2, pitch * side * yaw, pitch**2] for side in (1, -1)], np.float64
    )
    hidden = np.maximum(_linear("g", np.concatenate([seen, iris, points.reshape(2, -1), head], axis=1)), 0)
    eyes = _linear("o", hidden)
    eyes[:, 3:5] += iris
    return hidden, eyes


@cache
def map_places() -> Array:
    """Middle of each field of the map (MAP_ROWS × MAP_COLUMNS, 2): x, y in half widths of a patch."""
    rows, columns = np.mgrid[:MAP_ROWS, :MAP_COLUMNS] * 4.0
    return np.asarray(_centred(np.stack([columns, rows], axis=-1).reshape(-1, 2)))


def _gaze(across: float, up: float, roll: float) -> tuple[float, float]:
    """Degrees of yaw and pitch from the gaze's direction sines in the picture turned upright by `roll`."""
    x = np.cos(roll) * across + np.sin(roll) * up
    y = np.cos(roll) * up - np.sin(roll) * across
    pitch = np.arcsin(np.clip(y, -1, 1))
    yaw = np.arcsin(np.clip(x / np.cos(pitch), -1, 1))
    return float(np.degrees(yaw)), float(np.degrees(pitch))


def _centred(pixels: Array) -> Array:
    """Patch coordinates to units of half the patch's width about its middle."""
    return np.asarray((pixels - [(WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2]) / (WIDTH_PX / 2))


def _pixels(centred: Array) -> Array:
    """The inverse of `_centred`."""
    return np.asarray(centred * (WIDTH_PX / 2) + [(WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2])


def _convolved(layer: NDArray[np.float32], name: str, stride: int) -> NDArray[np.float32]:
    """3 × 3 convolution with zero padding: (n, c, h, w) to (n, k, h / stride, w / stride)."""
    weight, bias = _weights()[f"{name}.weight"], _weights()[f"{name}.bias"]
    padded = np.pad(layer, ((0, 0), (0, 0), (1, 1), (1, 1)))
    windows = sliding_window_view(padded, (1, 1, 3, 3))[:, :, ::stride, ::stride, 0, 0]
    n, _, height, width = windows.shape[:4]
    flat = windows.transpose(0, 2, 3, 1, 4, 5).reshape(n * height * width, -1)
    answer = flat @ weight.reshape(len(weight), -1).T + bias
    return np.asarray(answer.reshape(n, height, width, -1).transpose(0, 3, 1, 2))


def _linear(name: str, values: Array) -> Array:
    return np.asarray(values @ _weights()[f"{name}.weight"].T + _weights()[f"{name}.bias"])


@cache
def _weights() -> Mapping[str, NDArray[np.float32]]:
    with np.load(str(files("eyeline.measuring") / "eyes.npz")) as stored:
        return {name: stored[name].astype(np.float32) for name in stored.files}


@cache
def _indices() -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Points of the eye on the frame's left, and the same points of the other eye."""
    left = np.array(OUTLINE + IRIS)
    return left, usual_face().mirror[left]
