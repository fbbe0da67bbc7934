"""Two small convolutional networks that look at both eyes: where they point, how far the lids are open,
where the irises are, and how sure they are. Plain numpy, some 117 000 weights each (`eyes.npz`).

Trained by training/train_eyes.py on photographed eyes whose irises and lids were moved by known amounts and
on rendered sitters, split by person, alike but for their random beginning: the mean of what they say is off
by less than either. They see pixels and the turn of the head; of the mesh, whose eye corners and lids
follow the iris, nothing but where the patch lies. In each, both eyes share the weights (the eye on the
frame's right is seen in a mirror) and are joined by what no mirror changes, so that a mirrored picture
gives mirrored answers by construction.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.convolution import FLAT_LEVELS, convolved, rectified
from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX, eye_patches
from eyeline.measuring.face_shape import posture, usual_face
from eyeline.measuring.network_file import arrays_in
from eyeline.measuring.rotation import decompose
from eyeline.terms.eyes import EyesSeen
from eyeline.terms.face import Seen
from eyeline.terms.frame import Picture, Pixels

Array = NDArray[np.float64]
Weights = Mapping[str, NDArray[np.float32]]

IRISES = (468, 473)
"""Centres of the irises on the frame's left and right, indices of mediapipe's mesh."""

NEAR_PX = 15
"""Side of the square about each pixel, in pixels of a patch, over which its second normalisation goes: a
little more than an iris, so that a dark one is told from dark skin beside a bright wall."""

STRIDES = {"c1": 2, "c2": 2, "c3": 1}
"""Step of each layer of 3 × 3 convolutions that sees the patch before the ways part."""

MAP_ROWS, MAP_COLUMNS = HEIGHT_PX // 4, WIDTH_PX // 4
"""Size of the map that says where the iris is."""


def sitters_eyes(picture: Picture, seen: Seen) -> EyesSeen | None:
    """Look at the eyes of the sitter whom `seen` names; None without a sitter whose landmarks were found."""
    if seen.sitter is None or seen.sitter.landmarks is None:
        return None
    return look_at_eyes(picture.rgb, seen.sitter.landmarks)


def look_at_eyes(rgb: Pixels, landmarks: NDArray[np.float32]) -> EyesSeen:
    """Look at both eyes of the face with `landmarks` (478, 3) in the picture `rgb` (M, N, 3)."""
    face = posture(landmarks)
    patches = eye_patches(rgb, landmarks, face)
    grey = np.stack([normalised(patch.grey) for patch in patches])
    yaw, pitch, _ = np.sin(np.radians(decompose(face.rotation)))
    head = head_inputs(yaw, pitch)
    answers = [network_answers(weights, grey, head) for weights in networks()]
    gaze, eyes, both = (np.mean(each, axis=0) for each in zip(*answers, strict=True))
    gaze_yaw, gaze_pitch = turned_back(float(gaze[0]), float(gaze[1]), patches[0].roll)
    left, right = (patch.in_picture(_pixels(eye[3:5])) for patch, eye in zip(patches, eyes, strict=True))
    return EyesSeen(
        gaze_yaw_deg=gaze_yaw,
        gaze_pitch_deg=gaze_pitch,
        gaze_yaw_error_deg=float(np.degrees(np.exp(both[0]))),
        gaze_pitch_error_deg=float(np.degrees(np.exp(both[1]))),
        irises=((float(left[0]), float(left[1])), (float(right[0]), float(right[1]))),
        openings=(float(eyes[0, 5]), float(eyes[1, 5])),
        between_px=face.scale * _pupils_apart_cm(),
        aperture=float(eyes[:, 6].mean()),
        iris_visible=float(eyes[:, 7].max()),
        open_score=float(both[2]),
        closed_score=float(both[3]),
    )


def head_inputs(yaw: float, pitch: float) -> Array:
    """What the networks are given of the head for each eye (2, 5), from the sines of its yaw and pitch."""
    return np.array([[side * yaw, pitch, yaw**2, pitch * side * yaw, pitch**2] for side in (1, -1)])


def network_answers(weights: Weights, grey: NDArray[np.float32], head: Array) -> tuple[Array, Array, Array]:
    """What one network says of two normalised patches `grey` (2, 2, 40, 64) and the `head` (2, 5): gaze (2,)
    as direction sines across and up in the picture turned upright, of each eye (2, 8), of both (4,).

    Of each eye: gaze across (+ toward the inner corner) and up, trust, iris x and y in half widths of a patch
    about its middle, lid opening, aperture, iris visible. Of both: logarithms of the errors across and up,
    log odds of open and of closed.
    """
    layer = grey.swapaxes(0, 1)
    for name, stride in STRIDES.items():
        layer = rectified(_convolved(weights, layer, name, stride))
    where = rectified(_convolved(weights, layer, "h1", 1))
    where = _convolved(weights, where, "h2", 1).reshape(2, -1)
    share = np.exp(where - where.max(axis=1, keepdims=True)).astype(np.float64)
    iris = share @ map_places() / share.sum(axis=1, keepdims=True)
    last = rectified(_convolved(weights, layer, "c4", 2))
    seen = np.maximum(_linear(weights, "f", last.swapaxes(0, 1).reshape(2, -1)), 0)
    plain = np.concatenate([iris, head], axis=1)
    hidden = np.maximum(_linear(weights, "g", np.concatenate([seen, plain], axis=1)), 0)
    eyes = _linear(weights, "o", hidden)
    eyes[:, :2] += _linear(weights, "s", plain)
    eyes[:, 3:5] += iris
    trust = np.exp(eyes[:, 2] - eyes[:, 2].max())
    trust /= trust.sum()
    gaze = np.array([trust @ (eyes[:, 0] * (1, -1)), trust @ eyes[:, 1]])
    joined = np.concatenate([hidden.mean(axis=0), abs(hidden[0] - hidden[1])])
    return gaze, eyes, _linear(weights, "jo", np.maximum(_linear(weights, "j", joined), 0))


def normalised(grey: NDArray[np.float32]) -> NDArray[np.float32]:
    """`grey` (m, n) with mean 0 and deviation about 1 in the whole, and about each pixel, (2, m, n)."""
    whole = (grey - grey.mean()) / (grey.std(ddof=1) + np.float32(FLAT_LEVELS))
    off = grey - _smoothed(grey)
    deviation = np.sqrt(np.maximum(_smoothed(off**2), 0))
    return np.asarray(np.stack([whole, off / (deviation + np.float32(FLAT_LEVELS))]), np.float32)


def _smoothed(grey: NDArray[np.float32]) -> NDArray[np.float32]:
    blurred = cv2.blur(grey, (NEAR_PX, NEAR_PX), borderType=cv2.BORDER_REPLICATE)
    return np.asarray(blurred, np.float32)


@cache
def map_places() -> Array:
    """Middle of each field of the map (MAP_ROWS × MAP_COLUMNS, 2): x, y in half widths of a patch."""
    rows, columns = np.mgrid[:MAP_ROWS, :MAP_COLUMNS] * 4.0
    return np.asarray(_centred(np.stack([columns, rows], axis=-1).reshape(-1, 2)))


def turned_back(across: float, up: float, roll: float) -> tuple[float, float]:
    """Degrees of yaw and pitch from the gaze's direction sines in the picture turned upright by `roll`
    (radians, clockwise as the viewer sees it).
    """
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


def _convolved(weights: Weights, layer: NDArray[np.float32], name: str, stride: int) -> NDArray[np.float32]:
    return convolved(layer, weights[f"{name}.weight"], weights[f"{name}.bias"], stride)


def _linear(weights: Weights, name: str, values: Array | NDArray[np.float32]) -> Array:
    return np.asarray(values @ weights[f"{name}.weight"].T + weights[f"{name}.bias"])


@cache
def networks() -> tuple[Weights, ...]:
    """The weights of each network."""
    arrays = arrays_in("eyes.npz", np.float32)
    count = len({name.split(".")[0] for name in arrays})
    return tuple(
        {name.removeprefix(f"{k}."): array for name, array in arrays.items() if name.startswith(f"{k}.")}
        for k in range(count)
    )


@cache
def _pupils_apart_cm() -> float:
    return float(np.linalg.norm(usual_face().points[IRISES[0]] - usual_face().points[IRISES[1]]))
