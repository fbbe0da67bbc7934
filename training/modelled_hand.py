"""A rigged hand in any pose, drawn before a picture: the palm detector and the cover network are tried on it.

The model is the generic hand of the WebXR input profiles (MIT, npm's @webxr-input-profiles/assets 1.0.20,
dist/profiles/generic-hand/right.glb): 1360 points on 25 joints, in glTF 2.0.
"""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]
Random = np.random.Generator

TYPES = {5126: "<f4", 5121: "u1", 5123: "<u2"}
WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT4": 16}

FINGERS = ("index", "middle", "ring", "pinky")
BONES = ("phalanx-proximal", "phalanx-intermediate", "phalanx-distal", "tip")
SHARES = (0.9, 1.1, 0.7)
"""How a finger's curl is shared among its three joints."""

FOREARM_M = 0.027
"""Half the width of the wrist."""


@dataclass(frozen=True)
class Hand:
    """`points` (n, 3) in metres: toward the index finger, toward the fingertips, out of the palm; the origin
    is the root of the middle finger's metacarpal. `left`: it is mirrored, and a triangle's turn with it."""

    points: Array
    left: bool


class Model:
    """The hand at rest: points, triangles, and which joints move a point by how much."""

    def __init__(self, path: Path) -> None:
        data = path.read_bytes()
        length = struct.unpack("<I", data[12:16])[0]
        self._scene, self._binary = json.loads(data[20 : 20 + length]), data[28 + length :]
        points, self.triangles = self._array(0).astype(float), self._array(5).reshape(-1, 3)
        self._joint_of, self._weight = self._array(3), self._array(4).astype(float)
        rest = self._array(6).reshape(-1, 4, 4).transpose(0, 2, 1).astype(float)
        joints = np.array([np.linalg.inv(each)[:3, 3] for each in rest])
        skin = self._scene["skins"][0]["joints"]
        self._index = {self._scene["nodes"][node]["name"]: place for place, node in enumerate(skin)}
        place = {name: joints[number] for name, number in self._index.items()}
        up = _unit(place["middle-finger-phalanx-proximal"] - place["wrist"])
        across = place["index-finger-phalanx-proximal"] - place["pinky-finger-phalanx-proximal"]
        across = _unit(across - up * (across @ up))
        palm = np.cross(across, up)
        palm *= np.sign((place["thumb-tip"] - place["wrist"]) @ palm)
        axes, origin = np.stack([across, up, palm]), place["middle-finger-metacarpal"]
        self._points, self._joints = (points - origin) @ axes.T, (joints - origin) @ axes.T

    @property
    def wrist(self) -> Array:
        """Where the forearm begins."""
        return np.asarray(self._joints[self._index["wrist"]])

    def posed(self, curl: float, random: Random) -> Hand:
        """The hand with its fingers bent by about `curl` radians at each joint, as either hand."""
        moved = [np.eye(4) for _ in self._index]
        for number, finger in enumerate(FINGERS):
            bent, aside = curl + random.normal(0, 0.08), random.normal(0, 0.06) + 0.06 * (number - 1.5)
            chain = np.eye(4)
            for bone, share in zip(BONES, (*SHARES, None), strict=True):
                joint = self._index[f"{finger}-finger-{bone}"]
                if share is not None:
                    turn = _turn((1, 0, 0), float(np.clip(bent, -0.1, 1.5)) * share)
                    turn = _turn((0, 0, 1), aside) @ turn if share == SHARES[0] else turn
                    chain = chain @ _about(self._joints[joint], turn)
                moved[joint] = chain
        whole = np.column_stack([self._points, np.ones(len(self._points))])
        points = np.einsum("vk,vkij,vj->vi", self._weight, np.array(moved)[self._joint_of], whole)[:, :3]
        left = bool(random.random() < 0.5)
        return Hand(points * (-1 if left else 1, 1, 1), left)

    def _array(self, number: int) -> Array:
        accessor = self._scene["accessors"][number]
        view = self._scene["bufferViews"][accessor["bufferView"]]
        width, start = WIDTHS[accessor["type"]], view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
        kind = TYPES[accessor["componentType"]]
        return np.frombuffer(self._binary, kind, accessor["count"] * width, start).reshape(-1, width)


def drawn(
    rgb: NDArray[np.uint8],
    model: Model,
    hand: Hand,
    place: Array,
    angle_deg: float,
    px_per_m: float,
    random: Random,
    skin: Array,
    held_m: tuple[float, float],
) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """`rgb` with the hand before it, and where that is: the point `held_m` of the hand (toward the index
    finger, toward the fingertips) lies at `place`, the fingers lean to the right by `angle_deg`. Four in five
    show their back. A forearm goes on out of the picture, bare or in a sleeve.
    """
    turn = _turn((0, 1, 0), random.normal(0, 0.5)) @ _turn((1, 0, 0), random.normal(0, 0.35))
    turn = turn if random.random() < 0.8 else turn @ _turn((0, 1, 0), np.pi)
    turn = _turn((0, 0, 1), -np.radians(angle_deg)) @ turn

    def across(points: Array) -> Array:
        return np.asarray((points - (*held_m, 0.0)) @ turn.T * (px_per_m, -px_per_m, px_per_m) + (*place, 0))

    points, tone = across(hand.points), skin * random.uniform(0.85, 1.1)
    body, shade = _rounded(rgb.shape[:2], points, model.triangles, hand.left, random)
    side = (-1 if hand.left else 1, 1, 1)
    wrist, above = (across(each * side)[:2] for each in (model.wrist, np.array([0, 0.02, 0])))
    arm, arm_shade = _forearm(rgb.shape[:2], wrist, _unit(wrist - above), px_per_m, random)
    sleeve = tone * 0.95 if random.random() < 0.6 else random.uniform(15, 235, 3)
    layer = shade[..., None] * tone * (1 - arm[..., None]) + arm_shade[..., None] * sleeve * arm[..., None]
    layer = layer * (1 + random.normal(0, 0.02, (*rgb.shape[:2], 1)))
    cover = np.maximum(body, arm)
    shift = np.float32(
        [[1, 0, random.normal(0, 0.006) * px_per_m], [0, 1, random.uniform(0, 0.014) * px_per_m]]
    )
    shadow = cv2.warpAffine(cover, shift, rgb.shape[1::-1])
    shadow = cv2.GaussianBlur(shadow, (0, 0), max(1, 0.006 * px_per_m)) * random.uniform(0.1, 0.45)
    cover = cv2.GaussianBlur(cover, (0, 0), 0.7)[..., None]
    seen = rgb * (1 - shadow[..., None]) * (1 - cover) + np.clip(layer, 0, 255) * cover
    return np.clip(np.rint(seen), 0, 255).astype(np.uint8), cover[..., 0] > 0.5


def _rounded(
    shape: tuple[int, ...], points: Array, triangles: Array, left: bool, random: Random
) -> tuple[Array, Array]:
    """Where the hand is and how bright, by Lambert's law with its points' normals, far triangles first."""
    corners = points[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) * (1 if left else -1)
    smooth = np.zeros_like(points)
    for corner in range(3):
        np.add.at(smooth, triangles[:, corner], normals)
    smooth /= np.maximum(np.linalg.norm(smooth, axis=1, keepdims=True), 1e-12)
    lamp = _unit(np.array([random.normal(0, 0.6), -abs(random.normal(0.7, 0.4)), -1.0]))
    ambient = random.uniform(0.35, 0.6)
    bright = ambient + (1 - ambient) * np.clip(smooth @ lamp, 0, 1) / max(0.6, -lamp[2])
    body, shade = np.zeros(shape[:2], np.float32), np.zeros(shape[:2], np.float32)
    places = np.rint(points[:, :2] * 16).astype(np.int32)
    for triangle in triangles[np.argsort(-corners[:, :, 2].mean(axis=1))]:
        cv2.fillConvexPoly(shade, places[triangle], float(bright[triangle].mean()), shift=4)
        cv2.fillConvexPoly(body, places[triangle], 1.0, shift=4)
    return body, cv2.GaussianBlur(shade, (0, 0), 0.8)


def _forearm(
    shape: tuple[int, ...], wrist: Array, way: Array, px_per_m: float, random: Random
) -> tuple[Array, Array]:
    bend, half = random.normal(0, 0.25), FOREARM_M * px_per_m
    away = np.array([[np.cos(bend), -np.sin(bend)], [np.sin(bend), np.cos(bend)]]) @ way
    far, side, far_side = wrist + 2 * max(shape) * away, (-way[1], way[0]), (-away[1], away[0])
    corners = [
        *(wrist + half * sign * np.array(side) for sign in (1, -1)),
        *(far + 1.6 * half * sign * np.array(far_side) for sign in (-1, 1)),
    ]
    arm = np.zeros(shape[:2], np.uint8)
    cv2.fillPoly(arm, [np.rint(np.array(corners) * 16).astype(np.int32)], 1, shift=4)
    depth = np.clip(cv2.distanceTransform(arm, cv2.DIST_L2, 3) / half, 0, 1)
    return cv2.GaussianBlur(arm.astype(np.float32), (0, 0), 0.7), 0.55 + 0.45 * np.sqrt(1 - (1 - depth) ** 2)


def _turn(axis: tuple[float, float, float], angle: float) -> Array:
    return np.asarray(cv2.Rodrigues(np.array(axis, float) * angle)[0])


def _about(place: Array, turn: Array) -> Array:
    moved = np.eye(4)
    moved[:3, :3], moved[:3, 3] = turn, place - turn @ place
    return moved


def _unit(way: Array) -> Array:
    return np.asarray(way / max(float(np.linalg.norm(way)), 1e-12))
