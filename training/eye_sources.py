"""Real eyes that look into the lens, taken apart for moved_eyes.py, from the folder of real photographs.

The studio's neutral pictures carry hand-placed points of irises and lids; the smiling ones and the portraits
take theirs from the mesh and from what eyeline finds. Of the portraits only those with an odd number are
looked at, of the studio's sitters those whose number leaves 3 when divided by 4 are marked as held out.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from moved_eyes import COLUMNS, DENSITY, IRIS_RADIUS_MM, MARGIN_PX, ROWS, SourceEye
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from eyeline.measuring.eye_patches import EyePatch, eye_patches
from eyeline.measuring.face_shape import posture, usual_face
from eyeline.measuring.rotation import decompose
from eyeline.reading.finder import find_boxes
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.mesh import landmarks_in
from eyeline.reading.picture import picture_of

HAND_PLACED = (
    {"rim": range(3, 10), "upper": range(18, 23), "lower": range(28, 31)},
    {"rim": range(11, 18), "upper": range(23, 28), "lower": range(31, 34)},
)
"""Of the studio's 189 points those of the eye on the frame's left, then right: the iris' rim without its
topmost point, which the lid hides; the upper lid with both corners; the lower lid between them."""

MESH_UPPER = (33, 246, 161, 160, 159, 158, 157, 173, 133)
MESH_LOWER = (33, 7, 163, 144, 145, 153, 154, 155, 133)
MESH_IRIS = (468, 469, 470, 471, 472)
"""Lids of the eye on the frame's left, from the outer to the inner corner, and its iris: centre, then rim."""

UPPER_LIES_LOW_MM, LOWER_LIES_HIGH_MM = 0.65, 0.15
"""How far the mesh's lids lie inside the opening, against the studio's hand-placed lids."""

MESH_IRIS_LARGE = 0.97
"""Radius of an iris over the mesh's, against circles through the studio's hand-placed rims."""

HELD_OUT_OF, HELD_OUT = 4, 3
"""A sitter of the studio whose number leaves this remainder is never trained on."""

LEAST_APART_PX = 70.0
"""Pixels between the pupils from which a portrait's eye is fine enough to be taken apart."""

WHITE_FROM, LASH_MM = 1.14, 0.3
"""Iris radii from which the white is free of the iris; what the lids' edges and lashes take of it."""

FILL_MM = (1.2, 3.0, 7.0)
"""Widths of the Gaussians by which the white is continued, the narrowest that reaches first."""

LEAST_WEIGHT = 0.05
"""Share of a Gaussian that must lie on known white for it to count."""


@dataclass(frozen=True, eq=False)
class SourceFace:
    """Both eyes of a face, the frame's left first; `head`: sines of yaw and pitch by plain alignment, `roll`
    in radians; `to_picture` (2, 2, 3): from the patches (without margin) to pixels of the photograph;
    `by_hand`: irises and lids were placed by hand.
    """

    path: Path
    eyes: tuple[SourceEye, SourceEye]
    head: tuple[float, float]
    roll: float
    to_picture: NDArray[np.float64]
    by_hand: bool
    glasses: bool
    held_out: bool


def studio_faces(real: Path, *, neutral: bool, held_out: bool) -> Iterator[SourceFace]:
    """The studio's `neutral` or smiling faces in the folder `real`, those `held_out` or the others."""
    for row in _rows(real / "london.jsonl"):
        held = int(row["person"]) % HELD_OUT_OF == HELD_OUT
        if (row["expression"] == "neutral", held) == (neutral, held_out):
            points = np.array(row["points189_px"]) + 0.5 if neutral else None
            yield from _face(real / row["file"], points, held_out=held)


def source_faces(real: Path) -> Iterator[SourceFace]:
    """Every usable face in the folder `real` (portraits.jsonl, london.jsonl and what they list)."""
    for neutral in (True, False):
        for held_out in (False, True):
            yield from studio_faces(real, neutral=neutral, held_out=held_out)
    for number, row in enumerate(_rows(real / "portraits.jsonl")):
        if number % 2 and all(_usable(row[rater]) for rater in ("rater1", "rater2")):
            glasses = row["rater1"]["glasses"] == "clear"
            yield from _face(real / row["file"], None, glasses=glasses)


def _usable(labels: dict[str, str]) -> bool:
    """Whether a rater says that a portrait's eyes are open, sharp, look into the lens and can be seen."""
    return (
        labels["gaze"] == "camera"
        and labels["eyes"] in ("open", "narrow")
        and labels["sharp"] == "sharp"
        and labels["glasses"] in ("none", "clear")
    )


def _rows(listed: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in listed.read_text().splitlines()]


def _face(
    path: Path, points: NDArray[np.float64] | None, *, glasses: bool = False, held_out: bool = False
) -> Iterator[SourceFace]:
    """The face in the photograph at `path`, with hand-placed `points` or by the mesh; none if too small."""
    picture = picture_of(jpeg_stream(path.read_bytes(), 1))
    boxes = find_boxes(picture)
    landmarks = landmarks_in(picture, boxes[0][0]) if boxes else None
    if landmarks is None:
        return
    if np.hypot(*(landmarks[468] - landmarks[473])[:2]) < LEAST_APART_PX:
        return
    face = posture(landmarks)
    patches = eye_patches(picture.rgb, landmarks, face)
    eyes = []
    for side, patch in enumerate(patches):
        outline = _by_mesh(landmarks, patch, side) if points is None else _by_hand(points, patch, side)
        eyes.append(taken_apart(_cut(picture.rgb, patch.to_picture), *outline))
    yaw, pitch, roll = np.radians(decompose(face.rotation))
    yield SourceFace(
        path,
        (eyes[0], eyes[1]),
        (float(np.sin(yaw)), float(np.sin(pitch))),
        float(roll),
        np.stack([patch.to_picture for patch in patches]),
        points is not None,
        glasses,
        held_out,
    )


Outline = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], float]
"""Points (n, 2) of the upper and the lower lid, both with the corners, centre and radius of the iris."""


def _by_hand(points: NDArray[np.float64], patch: EyePatch, side: int) -> Outline:
    placed = {name: _dense(patch, points[list(which)]) for name, which in HAND_PLACED[side].items()}
    centre, radius = circle_through(placed["rim"])
    upper = placed["upper"][np.argsort(placed["upper"][:, 0])]
    lower = placed["lower"][np.argsort(placed["lower"][:, 0])]
    return upper, np.concatenate([upper[:1], lower, upper[-1:]]), centre, radius


def _by_mesh(landmarks: NDArray[np.float32], patch: EyePatch, side: int) -> Outline:
    def of(indices: tuple[int, ...]) -> NDArray[np.float64]:
        own = np.array(indices) if side == 0 else usual_face().mirror[list(indices)]
        return _dense(patch, landmarks[own, :2].astype(np.float64))

    centre, *rim = of(MESH_IRIS)
    radius = MESH_IRIS_LARGE * float(np.hypot(*(np.array(rim) - centre).T).mean())
    upper, lower = of(MESH_UPPER), of(MESH_LOWER)
    upper[1:-1, 1] -= UPPER_LIES_LOW_MM * radius / IRIS_RADIUS_MM
    lower[1:-1, 1] += LOWER_LIES_HIGH_MM * radius / IRIS_RADIUS_MM
    return upper, lower, centre, radius


def circle_through(points: NDArray[np.float64]) -> tuple[NDArray[np.float64], float]:
    """Centre and radius of the circle nearest to `points` (n, 2) by algebraic least squares (Kåsa 1976)."""
    system = np.column_stack([2 * points, np.ones(len(points))])
    x, y, rest = np.linalg.lstsq(system, (points**2).sum(axis=1), rcond=None)[0]
    return np.array([x, y]), float(np.sqrt(rest + x * x + y * y))


def _dense(patch: EyePatch, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Pixels of the picture to the coordinates of moved_eyes.py."""
    return np.asarray(DENSITY * (patch.from_picture(points) + MARGIN_PX) + (DENSITY - 1) / 2)


def dense_to_picture(to_picture: NDArray[np.float64]) -> NDArray[np.float64]:
    """From the coordinates of moved_eyes.py to pixels of the picture (2, 3), by that of the patch."""
    linear = to_picture[:, :2] / DENSITY
    shift = to_picture[:, 2] - to_picture[:, :2] @ np.full(2, (DENSITY - 1) / (2 * DENSITY) + MARGIN_PX)
    return np.column_stack([linear, shift])


def _cut(rgb: NDArray[np.uint8], to_picture: NDArray[np.float64]) -> NDArray[np.uint8]:
    """The patch in colour, DENSITY times as dense, with its margin."""
    dense = dense_to_picture(to_picture)
    reduction = float(np.sqrt(abs(np.linalg.det(dense[:, :2]))))
    if reduction > 1:
        rgb = np.asarray(cv2.GaussianBlur(rgb, (0, 0), 0.5 * reduction), np.uint8)
    dense[:, 2] -= 0.5
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return np.asarray(
        cv2.warpAffine(rgb, dense, (COLUMNS, ROWS), flags=flags, borderMode=cv2.BORDER_REPLICATE), np.uint8
    )


def taken_apart(
    rgb: NDArray[np.uint8],
    upper: NDArray[np.float64],
    lower: NDArray[np.float64],
    centre: NDArray[np.float64],
    radius: float,
) -> SourceEye:
    """The eye in `rgb` with the given lids (points with both corners) and iris."""
    scale = radius / IRIS_RADIUS_MM
    columns = np.arange(COLUMNS)
    corners = float(upper[0, 0]), float(upper[-1, 0])
    inside = np.clip(columns, *corners)
    top, bottom = (PchipInterpolator(*_rising(lid).T)(inside).astype(np.float32) for lid in (upper, lower))
    bottom = np.maximum(top, bottom)
    y, x = np.mgrid[:ROWS, :COLUMNS].astype(np.float32)
    away = np.hypot(x - centre[0], y - centre[1]) / radius
    margin = LASH_MM * scale
    open_ = (y > top + margin) & (y < bottom - margin)
    return SourceEye(
        skin=rgb,
        white=_white(rgb, open_ & (away > WHITE_FROM), scale),
        iris=_iris(rgb, open_, x, y, centre, radius),
        upper=top,
        lower=bottom,
        centre=(float(centre[0]), float(centre[1])),
        radius=radius,
        corners=corners,
    )


def _rising(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """`points` whose x grow from one to the next, as an interpolator needs them."""
    kept = [points[0]]
    for point in points[1:]:
        if point[0] > kept[-1][0] + 0.25:
            kept.append(point)
    return np.array(kept)


def _white(rgb: NDArray[np.uint8], known: NDArray[np.bool_], scale: float) -> NDArray[np.uint8]:
    """The white of the eye where it is `known`, continued everywhere by normalised convolution
    (Knutsson & Westin 1993).
    """
    weight = known.astype(np.float32)
    colour = rgb.astype(np.float32)
    usual = colour[known].mean(axis=0) if known.any() else np.full(3, 160.0)
    filled = np.broadcast_to(usual, colour.shape).astype(np.float32)
    for width in reversed(FILL_MM):
        near = cv2.GaussianBlur(weight, (0, 0), width * scale)
        mean = cv2.GaussianBlur(colour * weight[..., None], (0, 0), width * scale)
        share = np.clip(near / LEAST_WEIGHT - 1, 0, 1)[..., None]
        filled = filled * (1 - share) + mean / np.maximum(near, 1e-6)[..., None] * share
    soft = cv2.GaussianBlur(weight, (0, 0), 0.15 * scale)[..., None] * weight[..., None]
    return np.clip(colour * soft + filled * (1 - soft), 0, 255).astype(np.uint8)


def _iris(
    rgb: NDArray[np.uint8],
    open_: NDArray[np.bool_],
    x: NDArray[np.float32],
    y: NDArray[np.float32],
    centre: NDArray[np.float64],
    radius: float,
) -> NDArray[np.uint8]:
    """The iris and its rim; what the lids hide is taken from below or above, else from the ring's mean."""
    colour = rgb.astype(np.float32)
    ring = np.clip(np.hypot(x - centre[0], y - centre[1]) / radius * 20, 0, 29).astype(int)
    rings = np.array(
        [
            colour[open_ & (ring == k)].mean(axis=0) if (open_ & (ring == k)).any() else np.full(3, np.nan)
            for k in range(30)
        ]
    )
    for channel in range(3):
        there = np.isfinite(rings[:, channel])
        rings[:, channel] = np.interp(np.arange(30), np.flatnonzero(there), rings[there, channel])
    answer = rings[ring]
    mirror = np.rint(2 * centre[1] - y).astype(int)
    rows, columns = np.clip(mirror, 0, ROWS - 1), x.astype(int)
    for known, seen in ((open_[rows, columns], colour[rows, columns]), (open_, colour)):
        soft = cv2.GaussianBlur(known.astype(np.float32), (0, 0), 1.0)[..., None] * known[..., None]
        answer = answer * (1 - soft) + seen * soft
    return np.clip(answer, 0, 255).astype(np.uint8)
