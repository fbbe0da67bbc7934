"""Hard cases: portraits in which something is in the way, each with its truth.

Some are in the rendered sets. The rest are made here, by a change with a known effect (hard_drawings.py),
from sound frames of the bundled shoot and from scikit-image's `astronaut`, a public-domain portrait by NASA.
"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageOps
from skimage import data

from tests.accuracy.hard_drawings import CHANGES, Scene, smaller, with_poster
from tests.accuracy.portraits import Portrait

BASE_KINDS = frozenset({"burst", "portrait", "lead", "copy_space", "dead_centre"})
FRAMES_A_SITTER = 4
MOST_PIXELS = 4_000_000
"""Larger frames of the shoot are left out: nothing here depends on size."""

POSTER_SIZES = {"poster beside the sitter": 0.6, "poster, its face larger than the sitter's": 1.25}
SMALL_HEADS = (0.052, 0.065, 0.078)
"""Heads of 5 to 8 % of the frame's height."""

JPEG_QUALITY = 93


def made_cases(
    portraits: Sequence[Portrait], folder: Path, frames_a_sitter: int = FRAMES_A_SITTER, every: int = 1
) -> dict[str, list[Portrait]]:
    """Each made case with its frames, written to `folder`; of these every so many, another one first in each
    case, so that all sitters come.
    """
    named = [(each.path.stem, _scene(each)) for each in base_frames(portraits, frames_a_sitter)]
    named.append(("astronaut", photograph()))
    places = [list(enumerate(named))[first::every] for first in range(every)]
    cases = {
        name: [
            _written(_path(folder, name, stem), change(_own(scene), index))
            for index, (stem, scene) in places[number % every]
        ]
        for number, (name, change) in enumerate(CHANGES.items())
    }
    for number, (name, size) in enumerate(POSTER_SIZES.items()):
        cases[name] = [
            _written(
                _path(folder, name, stem),
                with_poster(_own(scene), named[(index + frames_a_sitter) % len(named)][1], size),
            )
            for index, (stem, scene) in places[number % every]
        ]
    return cases


def small_heads(portraits: Sequence[Portrait], folder: Path) -> list[Portrait]:
    """`portraits` with much about them, the head at each of SMALL_HEADS."""
    made = []
    for portrait in portraits:
        scene = _scene(portrait)
        made += [
            _written(_path(folder, f"head {head}", portrait.path.stem), smaller(_own(scene), head))
            for head in SMALL_HEADS
        ]
    return made


def base_frames(portraits: Sequence[Portrait], frames_a_sitter: int) -> list[Portrait]:
    """Some sound frames of each sitter: eyes open, sharp, no larger than needed."""
    kept: dict[str, list[Portrait]] = {}
    for portrait in portraits:
        person, truth = portrait.people[0], portrait.truth
        sharp = person.true_eye_blur_sigma_px < 1 and truth["motion_px"] == 0
        if truth["kind"] in BASE_KINDS and sharp and truth["width"] * truth["height"] < MOST_PIXELS:
            kept.setdefault(person.sitter, []).append(portrait)
    return [
        portrait
        for of_sitter in kept.values()
        for portrait in of_sitter[:: max(1, len(of_sitter) // frames_a_sitter)][:frames_a_sitter]
    ]


def photograph() -> Scene:
    """scikit-image's `astronaut`, 512 × 512 pixels. Its truth was read off the picture enlarged five times,
    to about a pixel; the top of the skull is where the eyes lie halfway up the head."""
    pixels = data.astronaut()
    side = pixels.shape[0]
    left, right, chin, hair_top, head = [203.0, 101.0], [246.5, 103.0], [224.5, 178.0], 15.5, (153.5, 301.5)
    person: dict[str, Any] = {
        "sitter": "astronaut",
        "glasses": False,
        "beard": False,
        "eyes": "open",
        "eyes_visible": True,
        "iris_visible": [1.0, 1.0],
        "gaze_yaw": 0.0,
        "gaze_pitch": 0.0,
        "pupil_left": left,
        "pupil_right": right,
        "chin": chin,
        "crown": [230.0, 26.0],
        "hair_top_y": hair_top,
        "face_left_x": 182.5,
        "face_right_x": 268.0,
        "head_box": [head[0], hair_top, head[1], chin[1]],
        "eye_line": (left[1] + right[1]) / 2 / side,
        "eye_x": (left[0] + right[0]) / 2 / side,
        "chin_room": 1 - chin[1] / side,
        "headroom": hair_top / side,
        "crown_cut": False,
        "room_left": head[0] / side,
        "room_right": 1 - head[1] / side,
        "head_height": (chin[1] - hair_top) / side,
        "head_height_with_hair": (chin[1] - hair_top) / side,
        # An iris is 11.7 mm across, eyes are 62 mm apart: in the truth's terms, at one metre.
        "iris_mm": 11.7,
        "camera_distance_m": 1.0,
        "focal_px": 1000 * 43.5 / 62,
    }
    return Scene(
        pixels,
        {
            "width": side,
            "height": side,
            "people_count": 1,
            "people": [person],
            "orientation": 1,
            "kind": "photograph",
        },
    )


def _scene(portrait: Portrait) -> Scene:
    with Image.open(portrait.path) as opened:
        pixels = np.asarray(ImageOps.exif_transpose(opened).convert("RGB"))
    return Scene(pixels, portrait.truth | {"orientation": 1})


def _own(scene: Scene) -> Scene:
    return Scene(scene.pixels, copy.deepcopy(scene.truth))


def _path(folder: Path, case: str, stem: str) -> Path:
    return folder / f"{case.replace(' ', '_').replace(',', '').replace(chr(39), '')}_{stem}.jpg"


def _written(path: Path, scene: Scene) -> Portrait:
    Image.fromarray(scene.pixels).save(path, quality=JPEG_QUALITY, subsampling=0)
    return Portrait(path, "hard", scene.truth)
