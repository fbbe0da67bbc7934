"""The rendered crowd with things before the face: what the cover network learns from.

756 frames of 60 invented sitters (the `crowd` set). The face of each frame is cut out upright with much
about it. Some looks at it have nothing before the face but what faces wear (drawn_dress.py), the others one
thing each (drawn_covers.py); then three in four of those are degraded (crowd_looks.py), and all are cut out
once more, moved, turned and scaled at random as a mesh lies that a hand misleads.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
from crowd_looks import FOR_COVERS, crowd_faces, degraded
from drawn_covers import Place, covered
from drawn_dress import dressed
from numpy.typing import NDArray

from eyeline.measuring.face_patch import SIDE_CM, SIDE_PX, face_patch
from eyeline.measuring.face_shape import posture

CANVAS_CM, CANVAS_PX = 34.0, 220
"""What is cut out about a face: 1.8 times as dense as a patch, and half as much again about it."""

LOOKS, BARE = 12, 5
"""Looks at each frame, and how many of them have nothing before the face."""

IRIS, CHIN, MOUTH = 0.11, 0.2, 0.25
"""Radii, in interpupillary distances, of what has to be covered."""

CHIN_UP = 0.1
"""How far above the chin's lowest point the middle of that disc lies: half of the disc is chin."""

MOVED_CM, TURNED_DEG, SCALED = 0.8, 5.0, 0.07
"""Standard deviations of what a misled mesh is off by, in both directions, in roll and in the log of size."""


def looks(crowd: Path, seed: int) -> dict[str, NDArray[Any]]:
    """Arrays of one length: `patch` (n, 80, 80, 3), `share` (n, 4: how much of the eye on the frame's left,
    on its right, of chin and mouth is covered), `sitter`, `bare`, `degraded` (n).
    """
    random = np.random.default_rng(seed)
    rows: list[dict[str, Any]] = []
    for person, picture, landmarks in crowd_faces(crowd):
        canvas, to_picture = face_patch(picture.rgb, landmarks, posture(landmarks), CANVAS_CM, CANVAS_PX)
        back = np.linalg.inv(to_picture[:, :2])
        points = (
            back @ (np.array(person[name]) - to_picture[:, 2])
            for name in ("pupil_left", "pupil_right", "chin", "crown")
        )
        place = Place(*points, np.array(person["cheek_srgb"], np.float32) / 255)
        rows += [
            one_look(canvas, place, variant, random) | {"sitter": person["sitter"]}
            for variant in range(LOOKS)
        ]
    return {name: np.array([row[name] for row in rows]) for name in rows[0]}


def one_look(
    canvas: NDArray[np.uint8], place: Place, variant: int, random: np.random.Generator
) -> dict[str, Any]:
    """One variant of a face on its canvas."""
    levels = canvas.astype(np.float32) / 255
    bare, plain = variant < BARE, variant < 2
    if not plain and random.random() < 0.75:
        levels = dressed(random, levels, place)
    mask = np.zeros(canvas.shape[:2], bool)
    if not bare:
        levels, mask = covered(random, levels, place)
    worse = not plain and random.random() < 0.75
    seen = np.asarray(np.rint(levels * 255), np.uint8)
    if worse:
        seen = degraded(seen, place.unit, FOR_COVERS, random)
    return {
        "patch": _moved(seen, canvas.shape[0] / seen.shape[0], random),
        "share": [covered_share(mask, spot, radius * place.unit) for spot, radius in spots(place)],
        "bare": bare,
        "degraded": worse,
    }


def _moved(seen: NDArray[np.uint8], reduction: float, random: np.random.Generator) -> NDArray[np.uint8]:
    """A patch out of the middle of `seen`, about where it belongs."""
    step = SIDE_CM / SIDE_PX * CANVAS_PX / CANVAS_CM * np.exp(random.normal(0, SCALED))
    angle = np.radians(random.normal(0, TURNED_DEG))
    linear = step * np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    middle = CANVAS_PX / 2 + random.normal(0, MOVED_CM, 2) * CANVAS_PX / CANVAS_CM
    into = np.column_stack([linear, middle - linear @ ([(SIDE_PX - 1) / 2] * 2)])
    into /= reduction
    into[:, 2] -= 0.5
    softened = cv2.GaussianBlur(seen, (0, 0), max(0.3, 0.4 * step / reduction))
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    patch = cv2.warpAffine(softened, into, (SIDE_PX, SIDE_PX), flags=flags, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(patch, np.uint8)


def spots(place: Place) -> list[tuple[NDArray[np.float64], float]]:
    """Middle and radius (in interpupillary distances) of both eyes, chin and mouth."""
    chin = place.chin - place.down * CHIN_UP * place.unit
    return [(place.left_eye, IRIS), (place.right_eye, IRIS), (chin, CHIN), (place.mouth, MOUTH)]


def covered_share(mask: NDArray[np.bool_], at: NDArray[np.float64], radius: float) -> float:
    """Share of a disc that `mask` covers; what lies outside the picture does not count."""
    disc = np.zeros(mask.shape, np.uint8)
    cv2.circle(disc, np.rint(at).astype(int).tolist(), max(1, round(radius)), 1, -1)
    inside = disc > 0
    return float(mask[inside].mean()) if inside.any() else 0.0
