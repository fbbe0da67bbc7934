"""The rendered crowd, looked at again and again under worse and worse conditions.

756 frames of 60 invented sitters (the `crowd` set: 720 × 900 pixels, exact truth beside it). Of each frame
one look is as it is, one mirrored, the others are scaled to an interpupillary distance of 32 to 130
pixels, greyed or tinted, blurred, given another exposure and tone curve, noise and JPEG loss, every other
one mirrored. The mesh looks at each anew, so that its own errors are part of the material.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_patches import eye_patches
from eyeline.measuring.face_shape import posture
from eyeline.reading.finder import find_boxes
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.mesh import landmarks_in
from eyeline.reading.picture import picture_of, reduced
from eyeline.terms.frame import Picture

SEED = 1
SMALLEST_IPD_PX, LARGEST_IPD_PX = 32.0, 130.0
GREY = np.array([0.299, 0.587, 0.114], np.float32)


@dataclass(frozen=True)
class Conditions:
    """How many `looks` at each frame; standard deviations of the logs of exposure (None: as it is) and of
    the exponent of the tone curve.
    """

    looks: int
    exposure: float | None
    curve: float


FOR_HEAD, FOR_EYES = Conditions(12, None, 0.25), Conditions(8, 0.2, 0.35)
"""Eyes have to be told in the dark too: an iris in dark skin is a few levels from black."""


def kept_looks(crowd: Path, kept: Path | None, conditions: Conditions) -> dict[str, NDArray[Any]]:
    """The looks that training uses, from the file `kept` where it exists, else made and kept there."""
    if kept is not None and kept.exists():
        with np.load(kept) as stored:
            return dict(stored)
    seen = looks(crowd, conditions, SEED)
    if kept is not None:
        np.savez(kept, **seen)
    return seen


def looks(crowd: Path, conditions: Conditions, seed: int) -> dict[str, NDArray[Any]]:
    """Looks at every frame of the folder `crowd`, as arrays of one length.

    Pairs are the frame's left, right: `landmarks` (n, 478, 3), `patch` (n, 2, 40, 64), `to_picture`
    (n, 2, 2, 3), `pupil` (n, 2, 2), `gaze` (n, 2: yaw, pitch), `head` (n, 3: yaw, pitch, roll), `opening`,
    `aperture`, `iris_visible` (n, 2), `eyes` (n, word), `sitter` (n, id), `tone` (n, 1 light to 10 dark),
    `variant` (n).
    """
    random = np.random.default_rng(seed)
    rows: list[dict[str, Any]] = []
    for line in (crowd / "truth.jsonl").read_text().splitlines():
        record = json.loads(line)
        picture = picture_of(jpeg_stream((crowd / record["file"]).read_bytes(), record["orientation"]))
        boxes = find_boxes(picture)
        if boxes:
            for variant in range(conditions.looks):
                row = one_look(picture, boxes[0][0], record["people"][0], variant, conditions, random)
                rows += [] if row is None else [row]
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
    rgb = degraded(picture.rgb, between, conditions, random) if variant >= 2 else picture.rgb
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
        "patch": np.stack([patch.grey for patch in patches]).clip(0, 255).astype(np.uint8),
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
    }


def degraded(
    rgb: NDArray[np.uint8], between_px: float, conditions: Conditions, random: np.random.Generator
) -> NDArray[np.uint8]:
    """`rgb` as a smaller, softer, noisier JPEG of another tone; `between_px`: interpupillary distance."""
    wanted = np.exp(random.uniform(np.log(SMALLEST_IPD_PX), np.log(LARGEST_IPD_PX)))
    scale = 1.0 if random.random() < 0.25 else min(1.0, wanted / between_px)
    small = cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else rgb
    light = small.astype(np.float32) / 255
    if random.random() < 0.3:
        light = np.repeat((light @ GREY)[..., None], 3, axis=2)
    elif random.random() < 0.5:
        light = light * random.uniform(0.8, 1.2, 3).astype(np.float32)
    sigma = random.uniform(0, 0.022) * between_px * scale
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
