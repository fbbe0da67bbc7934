"""Hard cases: portraits in which something is in the way, each with its truth.

Some are in the rendered sets. The rest are made here from sound frames of the bundled shoot by a change with
a known effect: drawn headwear moves the crown, a reflection hides an iris, shadow and coloured light multiply
linear light, a hand covers part of the face, a poster hangs beside the sitter. What the change moves, the
truth is changed by; all else in it stays.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageOps
from scipy import ndimage
from skimage import color, draw, transform

from tests.accuracy.portraits import Person, Portrait

Pixels = np.ndarray
"""uint8 (M, N, 3), upright."""

BASE_KINDS = frozenset({"burst", "portrait", "lead", "copy_space", "dead_centre"})
FRAMES_A_SITTER = 4
MOST_PIXELS = 4_000_000
"""Larger frames of the shoot are left out: nothing here depends on size."""

JPEG_QUALITY = 93


@dataclass(frozen=True)
class Scene:
    """A frame while it is being changed: its pixels, and its truth as a copy of one's own."""

    pixels: Pixels
    truth: dict[str, Any]

    @property
    def person(self) -> dict[str, Any]:
        return self.truth["people"][0]

    @property
    def skull_px(self) -> float:
        """Chin to the top of the skull."""
        return float(self.person["chin"][1] - self.person["crown"][1])

    @property
    def eye_y(self) -> float:
        return float(self.person["pupil_left"][1] + self.person["pupil_right"][1]) / 2

    @property
    def middle_x(self) -> float:
        return float(self.person["pupil_left"][0] + self.person["pupil_right"][0]) / 2


def made_cases(
    portraits: Sequence[Portrait], folder: Path, frames_a_sitter: int = FRAMES_A_SITTER
) -> dict[str, list[Portrait]]:
    """Each made case with its frames, written to `folder`."""
    bases = base_frames(portraits, frames_a_sitter)
    scenes = [_scene(portrait) for portrait in bases]
    cases = {}
    for name, change in CHANGES.items():
        fit = [
            (portrait, scene)
            for portrait, scene in zip(bases, scenes, strict=True)
            if name != "glare on glasses" or scene.person["glasses"]
        ]
        cases[name] = [
            _written(
                folder / f"{name.replace(' ', '_')}_{portrait.path.stem}.jpg", change(_own(scene), index)
            )
            for index, (portrait, scene) in enumerate(fit)
        ]
    cases["poster beside the sitter"] = [
        _written(
            folder / f"poster_{portrait.path.stem}.jpg",
            with_poster(_own(scene), scenes[(index + frames_a_sitter) % len(scenes)]),
        )
        for index, (portrait, scene) in enumerate(zip(bases, scenes, strict=True))
    ]
    return cases


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


def with_hat(scene: Scene, _: int) -> Scene:
    """A dome from the brow up with a brim, a little higher than the hair."""
    person = scene.person
    left, _top, right, _bottom = person["head_box"]
    half, middle = 0.55 * (right - left), (left + right) / 2
    brim_y = scene.eye_y - 0.24 * scene.skull_px
    top_y = person["hair_top_y"] - 0.12 * scene.skull_px
    dome = _ellipse(scene.pixels, brim_y, middle, brim_y - top_y, half)
    dome[int(max(0, brim_y)) :] = False
    brim = _ellipse(scene.pixels, brim_y, middle, 0.06 * scene.skull_px, 1.3 * half)
    return _crowned(_painted(scene, dome | brim, (58, 60, 68), middle, half), top_y)


def with_headscarf(scene: Scene, _: int) -> Scene:
    """Cloth about the whole head with an opening for the face, down to the shoulders."""
    person = scene.person
    left, _top, right, _bottom = person["head_box"]
    half, middle = 0.58 * (right - left), (left + right) / 2
    chin_y, unit = person["chin"][1], scene.skull_px
    top_y = person["hair_top_y"] - 0.05 * unit
    cloth = _ellipse(scene.pixels, (top_y + chin_y) / 2, middle, (chin_y - top_y) / 2 + 0.04 * unit, half)
    drape_y = (chin_y - 0.4 * unit, chin_y - 0.4 * unit, chin_y + 0.7 * unit, chin_y + 0.7 * unit)
    drape_x = (middle - half, middle + half, middle + 1.3 * half, middle - 1.3 * half)
    cloth[draw.polygon(drape_y, drape_x, cloth.shape)] = True
    face_x = (person["face_left_x"] + person["face_right_x"]) / 2
    wide = 0.48 * (person["face_right_x"] - person["face_left_x"])
    brow_y = scene.eye_y - 0.3 * unit
    opening = _ellipse(scene.pixels, (brow_y + chin_y) / 2, face_x, (chin_y - brow_y) / 2 + 0.02 * unit, wide)
    return _crowned(_painted(scene, cloth & ~opening, (120, 50, 64), middle, half), top_y - 0.04 * unit)


def with_glare(scene: Scene, _: int) -> Scene:
    """A blown-out reflection on each lens, wider than the iris that it hides."""
    pixels = scene.pixels.copy()
    iris_px = Person(scene.person).iris_diameter_px
    for pupil in (scene.person["pupil_left"], scene.person["pupil_right"]):
        pixels[_ellipse(pixels, pupil[1], pupil[0], 0.7 * iris_px, 1.3 * iris_px)] = 255
    return Scene(pixels, scene.truth)


def in_shadow(scene: Scene, index: int) -> Scene:
    """Half of the face three and a half stops down, the border as soft as the nose is wide."""
    across = (np.arange(scene.pixels.shape[1]) - scene.middle_x) / (0.15 * scene.skull_px)
    dark = 1 / (1 + np.exp(-across if index % 2 else across))
    return Scene(_relit(scene.pixels, 2.0 ** (-3.5 * dark)[None, :, None]), _without_light(scene.truth))


def in_black_and_white(scene: Scene, _: int) -> Scene:
    grey = color.rgb2gray(scene.pixels)[..., None].repeat(3, 2)
    return Scene(np.rint(255 * grey).astype(np.uint8), scene.truth)


def in_coloured_light(scene: Scene, index: int) -> Scene:
    """A red or a blue filter over all light."""
    gel = ((1.0, 0.3, 0.25), (0.25, 0.4, 1.0))[index % 2]
    return Scene(_relit(scene.pixels, np.array(gel)), _without_light(scene.truth))


def behind_a_hand(scene: Scene, index: int) -> Scene:
    """Palm and fingers in the sitter's own skin: over mouth and chin, or over one eye."""
    person, unit = scene.person, scene.skull_px
    over_eye = index % 2 == 1
    x, y = person["pupil_right"] if over_eye else (scene.middle_x, person["chin"][1] - 0.12 * unit)
    hand = _ellipse(scene.pixels, y + 0.12 * unit, x + 0.05 * unit, 0.26 * unit, 0.2 * unit)
    for finger in range(4):
        middle = x + (finger - 1.5) * 0.11 * unit
        hand |= _ellipse(scene.pixels, y - 0.1 * unit, middle, 0.3 * unit, 0.05 * unit)
    skin = tuple(int(0.85 * level) for level in person["cheek_srgb"])
    return _painted(scene, hand, skin, x, 0.35 * unit)


def with_poster(scene: Scene, other: Scene) -> Scene:
    """The frame widened by a wall, on which a framed portrait of somebody else hangs at 0.6 of the size."""
    height, width = scene.pixels.shape[:2]
    wall = np.median(scene.pixels[: height // 10].reshape(-1, 3), axis=0)
    left, top, right, bottom = (int(each) for each in other.person["head_box"])
    room = (bottom - top) // 3
    head = other.pixels[max(0, top - room) : bottom + room, max(0, left - room) : right + room]
    factor = 0.6 * scene.person["head_height_with_hair"] * height / (bottom - top)
    poster = transform.rescale(head, factor, anti_aliasing=True, channel_axis=2, preserve_range=True)
    poster = np.pad(poster, ((8, 8), (8, 8), (0, 0)), constant_values=20)[: height - 20]
    more = poster.shape[1] + width // 8
    pixels = np.empty((height, width + more, 3))
    pixels[:, :width], pixels[:, width:] = scene.pixels, wall
    y, x = max(0, int(scene.eye_y - poster.shape[0] / 2)), width + width // 16
    y = min(y, height - poster.shape[0])
    pixels[y : y + poster.shape[0], x : x + poster.shape[1]] = poster
    truth = scene.truth
    truth["width"] += more
    for name in ("eye_x", "room_left"):
        scene.person[name] *= width / (width + more)
    scene.person["room_right"] = (scene.person["room_right"] * width + more) / (width + more)
    return Scene(np.rint(pixels).astype(np.uint8), truth)


CHANGES: dict[str, Callable[[Scene, int], Scene]] = {
    "hat, drawn": with_hat,
    "headscarf, drawn": with_headscarf,
    "glare on glasses": with_glare,
    "heavy shadow": in_shadow,
    "black and white": in_black_and_white,
    "coloured light": in_coloured_light,
    "hand before the face": behind_a_hand,
}


def _scene(portrait: Portrait) -> Scene:
    with Image.open(portrait.path) as opened:
        pixels = np.asarray(ImageOps.exif_transpose(opened).convert("RGB"))
    return Scene(pixels, portrait.truth | {"orientation": 1})


def _own(scene: Scene) -> Scene:
    return Scene(scene.pixels, copy.deepcopy(scene.truth))


def _written(path: Path, scene: Scene) -> Portrait:
    Image.fromarray(scene.pixels).save(path, quality=JPEG_QUALITY, subsampling=0)
    return Portrait(path, "hard", scene.truth)


def _ellipse(pixels: Pixels, y: float, x: float, down: float, across: float) -> np.ndarray:
    mask = np.zeros(pixels.shape[:2], bool)
    mask[draw.ellipse(y, x, down, across, mask.shape)] = True
    return mask


def _painted(scene: Scene, mask: np.ndarray, level: Sequence[int], middle_x: float, half_px: float) -> Scene:
    """`mask` in one colour, shaded toward its sides to look round, soft at its border, with grain."""
    across = np.clip((np.arange(mask.shape[1]) - middle_x) / (1.4 * half_px), -1, 1)
    shade = (0.55 + 0.45 * np.sqrt(1 - across**2))[None, :, None]
    grain = np.random.default_rng(1).normal(0, 2.0, mask.shape)[..., None]
    soft = ndimage.gaussian_filter(mask.astype(float), 1.0)[..., None]
    pixels = scene.pixels * (1 - soft) + (np.array(level) * shade + grain) * soft
    return Scene(np.clip(np.rint(pixels), 0, 255).astype(np.uint8), scene.truth)


def _crowned(scene: Scene, top_y: float) -> Scene:
    """The truth of the head's top moved to `top_y`."""
    height, person = scene.truth["height"], scene.person
    person["hair_top_y"], person["headroom"] = top_y, top_y / height
    person["crown_cut"] = top_y < 0
    person["head_height_with_hair"] = (person["chin"][1] - top_y) / height
    person["head_height"] = None if top_y < 0 else person["head_height_with_hair"]
    return scene


def _relit(pixels: Pixels, gain: np.ndarray) -> Pixels:
    """`pixels` with their linear light multiplied, by the transfer of IEC 61966-2-1."""
    levels = pixels / 255
    light = np.where(levels <= 0.04045, levels / 12.92, ((levels + 0.055) / 1.055) ** 2.4) * gain
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.rint(255 * np.clip(coded, 0, 1)).astype(np.uint8)


def _without_light(truth: dict[str, Any]) -> dict[str, Any]:
    """The light is another now; nothing is claimed of it."""
    truth["people"][0]["light_ratio_stops_true"] = None
    return truth
