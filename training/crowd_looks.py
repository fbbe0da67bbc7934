"""The rendered crowd, looked at again and again under worse and worse conditions.

756 frames of 60 invented sitters (the `crowd` set: 720 × 900 pixels, exact truth beside it). Of each frame
one look is as it is, one mirrored, the others are scaled to a smaller interpupillary distance, greyed or
tinted, blurred, given another exposure and tone curve, noise and JPEG loss, every other one mirrored. The
mesh looks at each anew, so that its own errors are part of the material.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_patches import cut, eye_patches
from eyeline.measuring.face_shape import posture
from eyeline.measuring.pupils import CENTRES
from eyeline.measuring.skin import EYES
from eyeline.reading.finder import find_boxes
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.mesh import landmarks_in
from eyeline.reading.picture import picture_of, reduced
from eyeline.terms.frame import Picture

SEED = 1
SMALLEST_IPD_PX, LARGEST_IPD_PX = 32.0, 130.0
MARGIN_PX = 12
"""What is kept about a patch, in its own pixels, so that it can be shifted."""
HULL_REACH, HULL_SOFTNESS = 1.12, 0.04
"""Size of the area that darker skin is painted on over that of the mesh, softness of its edges in eye
distances."""
GREY = np.array([0.299, 0.587, 0.114], np.float32)


@dataclass(frozen=True)
class Conditions:
    """How many `looks` at each frame; standard deviations of the logs of exposure (None: as it is) and of
    the exponent of the tone curve; strongest `blur` (sigma over interpupillary distance); share of the
    looks that are `small`, and how small, in pixels between the pupils; share that gets `darker` skin.
    """

    looks: int
    exposure: float | None
    curve: float
    blur: float = 0.022
    small: float = 0.0
    smallest_px: float = SMALLEST_IPD_PX
    darker: float = 0.0


FOR_HEAD, FOR_COVERS = Conditions(12, None, 0.25), Conditions(12, 0.2, 0.35)
FOR_EYES = Conditions(6, 0.4, 0.35, blur=0.045, small=0.25, smallest_px=10.0, darker=0.3)
"""Eyes have to be told in the dark too: an iris in dark skin is a few levels from black, and there the mesh
lies too low. The crowd has few dark sitters, so that others lend their eyes."""


def kept_looks(crowd: Path, kept: Path | None, conditions: Conditions) -> dict[str, NDArray[Any]]:
    """The looks that training uses, from the file `kept` where it exists, else made and kept there."""
    if kept is not None and kept.exists():
        with np.load(kept) as stored:
            return dict(stored)
    seen = looks(crowd, conditions, SEED)
    if kept is not None:
        np.savez(kept, **seen)
    return seen


def crowd_faces(crowd: Path) -> Iterator[tuple[dict[str, Any], Picture, NDArray[np.float32]]]:
    """The truth of the person, the picture and the mesh of each frame in which a face is found."""
    for line in (crowd / "truth.jsonl").read_text().splitlines():
        record = json.loads(line)
        picture = picture_of(jpeg_stream((crowd / record["file"]).read_bytes(), record["orientation"]))
        boxes = find_boxes(picture)
        landmarks = landmarks_in(picture, boxes[0][0]) if boxes else None
        if landmarks is not None:
            yield record["people"][0], picture, landmarks


def looks(crowd: Path, conditions: Conditions, seed: int) -> dict[str, NDArray[Any]]:
    """Looks at every frame of the folder `crowd`, as arrays of one length.

    Pairs are the frame's left, right: `landmarks` (n, 478, 3), `patch` (n, 2, 40 + 2 MARGIN_PX,
    64 + 2 MARGIN_PX), `to_picture` (n, 2, 2, 3: of the patch without its margin), `pupil` (n, 2, 2), `gaze`
    (n, 2: yaw, pitch), `head` (n, 3: yaw, pitch, roll), `opening`, `aperture`, `iris_visible` (n, 2), `eyes`
    (n, word), `sitter` (n, id), `tone` (n, 1 light to 10 dark), `variant` (n), `between` (n: pixels between
    the pupils as if the head faced the lens), `darkened` (n).
    """
    random = np.random.default_rng(seed)
    rows: list[dict[str, Any]] = []
    for line in (crowd / "truth.jsonl").read_text().splitlines():
        record = json.loads(line)
        picture = picture_of(jpeg_stream((crowd / record["file"]).read_bytes(), record["orientation"]))
        boxes = find_boxes(picture)
        if boxes:
            face = landmarks_in(picture, boxes[0][0]) if conditions.darker else None
            for variant in range(conditions.looks):
                darker = face is not None and variant >= 2 and random.random() < conditions.darker
                shown = in_darker_skin(picture, face, random) if darker else picture
                row = one_look(shown, boxes[0][0], record["people"][0], variant, conditions, random)
                rows += [] if row is None else [row | {"darkened": darker}]
    return {name: np.array([row[name] for row in rows]) for name in rows[0]}


def one_look(
    picture: Picture,
    box: tuple[float, float, float, float],
    person: dict[str, Any],
    variant: int,
    conditions: Conditions,
    random: np.random.Generator,
) -> dict[str, Any] | None:
    """What the mesh sees in one variant of a frame, with the truth turned alike; None if nothing."""
    between = float(np.hypot(*np.subtract(person["pupil_left"], person["pupil_right"])))
    between /= max(0.5, np.cos(np.radians(person["head_yaw_los"])))
    rgb = np.asarray(picture.rgb)
    if variant >= 2:
        rgb = degraded(rgb, between, conditions, random)
    scale = np.array([rgb.shape[1] / picture.width, rgb.shape[0] / picture.height])
    left, right = np.array(person["pupil_left"]) * scale, np.array(person["pupil_right"]) * scale
    gaze, head = (
        [person[name] for name in names]
        for names in (("gaze_yaw", "gaze_pitch"), ("head_yaw_los", "head_pitch_los", "head_roll"))
    )
    opening = [person["eye_aspect_sitter_right"], person["eye_aspect_sitter_left"]]
    aperture, visible = person["lid_aperture"][::-1], person["iris_visible"][::-1]
    edges = np.array(box) * np.tile(scale, 2)
    if variant % 2 == 1:
        width = rgb.shape[1]
        rgb = np.ascontiguousarray(rgb[:, ::-1])
        edges = np.array([width - edges[2], edges[1], width - edges[0], edges[3]])
        left, right = np.array([width - right[0], right[1]]), np.array([width - left[0], left[1]])
        gaze, head = [-gaze[0], gaze[1]], [-head[0], head[1], -head[2]]
        opening, aperture, visible = opening[::-1], aperture[::-1], visible[::-1]
    if variant >= 1:
        edges = edges + np.tile(random.normal(0, 0.05, 2) * (edges[2] - edges[0]), 2)
    landmarks = landmarks_in(Picture(rgb, reduced(rgb)), tuple(edges))
    if landmarks is None:
        return None
    patches = eye_patches(rgb, landmarks, posture(landmarks))
    return {
        "landmarks": landmarks,
        "patch": np.stack([cut(rgb, patch.to_picture, MARGIN_PX) for patch in patches])
        .clip(0, 255)
        .astype(np.uint8),
        "to_picture": np.stack([patch.to_picture for patch in patches]),
        "pupil": np.stack([left, right]),
        "gaze": gaze,
        "head": head,
        "opening": opening,
        "aperture": aperture,
        "iris_visible": visible,
        "eyes": person["eyes"],
        "sitter": person["sitter"],
        "tone": person["tone_index"],
        "variant": variant,
        "between": between * scale[0],
    }


def in_darker_skin(picture: Picture, landmarks: NDArray[np.float32], random: np.random.Generator) -> Picture:
    """`picture` with the face of `landmarks` (478, 3) painted darker, all but what lies between the lids."""
    points = landmarks[:, :2]
    between = float(np.hypot(*(points[CENTRES[0]] - points[CENTRES[1]])))
    mask = np.zeros(picture.rgb.shape[:2], np.float32)
    middle = points.mean(axis=0)
    hull = cv2.convexHull((points - middle) * HULL_REACH + middle)
    cv2.fillPoly(mask, [np.rint(hull).astype(np.int32)], (1.0,))
    mask = np.asarray(cv2.GaussianBlur(mask, (0, 0), HULL_SOFTNESS * between), np.float32)
    eyes = np.zeros_like(mask)
    for lids in EYES:
        cv2.fillPoly(eyes, [np.rint(cv2.convexHull(points[list(lids)])).astype(np.int32)], (1.0,))
    mask *= 1 - cv2.GaussianBlur(eyes, (0, 0), 1.0)
    left = np.exp(-random.uniform(0.2, 1.3))
    rgb = (np.asarray(picture.rgb) * (1 - (1 - left) * mask)[..., None]).astype(np.uint8)
    return Picture(rgb, reduced(rgb))


def degraded(
    rgb: NDArray[np.uint8], between_px: float, conditions: Conditions, random: np.random.Generator
) -> NDArray[np.uint8]:
    """`rgb` as a smaller, softer, noisier JPEG of another tone; `between_px`: interpupillary distance."""
    sizes = (SMALLEST_IPD_PX, LARGEST_IPD_PX)
    if conditions.small and random.random() < conditions.small:
        sizes = (conditions.smallest_px, SMALLEST_IPD_PX)
    wanted = np.exp(random.uniform(*np.log(sizes)))
    scale = 1.0 if random.random() < 0.25 else min(1.0, wanted / between_px)
    small = cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else rgb
    light = small.astype(np.float32) / 255
    if random.random() < 0.3:
        light = np.repeat((light @ GREY)[..., None], 3, axis=2)
    elif random.random() < 0.5:
        light = light * random.uniform(0.8, 1.2, 3).astype(np.float32)
    sigma = random.uniform(0, conditions.blur) * between_px * scale
    if random.random() < 0.6 and sigma > 0.3:
        light = cv2.GaussianBlur(light, (0, 0), sigma)
    if conditions.exposure is not None:
        light = light * np.float32(np.exp(random.normal(0, conditions.exposure)))
    light = np.clip(light, 0, 1) ** np.float32(np.exp(random.normal(0, conditions.curve)))
    contrast, shift = np.exp(random.normal(0, 0.2)), random.normal(0, 0.06)
    light = np.clip((light - 0.5) * np.float32(contrast) + 0.5 + np.float32(shift), 0, 1)
    if random.random() < 0.7:
        light = light + random.normal(0, random.uniform(0, 0.04), light.shape).astype(np.float32)
    levels = (np.clip(light, 0, 1) * 255).astype(np.uint8)
    quality = [cv2.IMWRITE_JPEG_QUALITY, int(random.uniform(45, 96))]
    _, stored = cv2.imencode(".jpg", levels[..., ::-1], quality)
    return np.ascontiguousarray(cv2.imdecode(stored, cv2.IMREAD_COLOR)[..., ::-1])
