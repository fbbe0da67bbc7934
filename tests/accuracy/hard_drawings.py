"""What is in the way of a portrait, drawn into it: headwear, glare, shadow, hands, things, posters.

Each change has a known effect: what it moves, the truth is changed by; all else in the truth stays. Shapes
and colours here are this file's own and shared with nothing that anything is trained on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import ndimage
from skimage import color, draw, transform

from tests.accuracy.portraits import Person

Pixels = np.ndarray
"""uint8 (M, N, 3), upright."""

HAT_COLOURS = ((58, 60, 68), (196, 170, 120), (150, 34, 40), (232, 232, 226), (30, 70, 60))
SCARF_COLOURS = ((120, 50, 64), (24, 24, 28), (224, 214, 196), (40, 80, 120), (150, 120, 60))
CUP_COLOURS = ((236, 236, 232), (40, 90, 150), (180, 60, 50))
RIM_COLOUR = (26, 24, 26)


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


def with_hat(scene: Scene, index: int) -> Scene:
    """A dome from the brow up, a little higher than the hair, with a brim; every third without, as a cap
    of wool is worn; in one of five colours."""
    person = scene.person
    left, _top, right, _bottom = person["head_box"]
    half, middle = 0.55 * (right - left), (left + right) / 2
    brim_y = scene.eye_y - 0.24 * scene.skull_px
    top_y = person["hair_top_y"] - 0.12 * scene.skull_px
    hat = _ellipse(scene.pixels, brim_y, middle, brim_y - top_y, half)
    hat[int(max(0, brim_y)) :] = False
    if index % 3 < 2:
        hat |= _ellipse(scene.pixels, brim_y, middle, 0.06 * scene.skull_px, 1.3 * half)
    return _crowned(_painted(scene, hat, HAT_COLOURS[index % len(HAT_COLOURS)], middle, half), top_y)


def with_headscarf(scene: Scene, index: int) -> Scene:
    """Cloth about the whole head with an opening for the face, down to the shoulders, in five colours."""
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
    colour = SCARF_COLOURS[index % len(SCARF_COLOURS)]
    return _crowned(_painted(scene, cloth & ~opening, colour, middle, half), top_y - 0.04 * unit)


def with_glare(scene: Scene, index: int) -> Scene:
    """A blown-out reflection on each lens, wider than the iris that it hides; glasses where none are."""
    return _glaring(scene, index, ("pupil_left", "pupil_right"))


def with_glare_on_one_lens(scene: Scene, index: int) -> Scene:
    """The same on one lens alone."""
    return _glaring(scene, index, (("pupil_left", "pupil_right")[index % 2],))


def in_shadow(scene: Scene, index: int) -> Scene:
    """Half of the face three and a half stops down, the border as soft as the nose is wide; every third
    time what lies above the nose's tip instead, as under a brim at noon."""
    if index % 3 == 2:
        along = (np.arange(scene.pixels.shape[0])[:, None] - scene.eye_y) / (0.15 * scene.skull_px) - 1
    else:
        side = 1 if index % 2 else -1
        along = side * (np.arange(scene.pixels.shape[1])[None, :] - scene.middle_x) / (0.15 * scene.skull_px)
        along = -along
    dark = 1 / (1 + np.exp(np.clip(along, -50, 50)))
    return Scene(_relit(scene.pixels, 2.0 ** (-3.5 * dark)[..., None]), _without_light(scene.truth))


def in_black_and_white(scene: Scene, _: int) -> Scene:
    """Grey alone."""
    grey = color.rgb2gray(scene.pixels)[..., None].repeat(3, 2)
    return Scene(np.rint(255 * grey).astype(np.uint8), scene.truth)


def in_coloured_light(scene: Scene, index: int) -> Scene:
    """A red, a blue or a green filter over all light."""
    gel = ((1.0, 0.3, 0.25), (0.25, 0.4, 1.0), (0.35, 1.0, 0.45))[index % 3]
    return Scene(_relit(scene.pixels, np.array(gel)), _without_light(scene.truth))


def hand_over_an_eye(scene: Scene, index: int) -> Scene:
    """Palm and fingers in the sitter's own skin over one eye, the arm hanging down outside the face."""
    side = 1 if index % 2 else -1
    x, y = scene.person["pupil_right" if side > 0 else "pupil_left"]
    return _behind_a_hand(scene, x, y + 0.1 * scene.skull_px, side * (15 + 12 * (index % 3)))


def hand_over_the_chin(scene: Scene, index: int) -> Scene:
    """The same over mouth and chin."""
    chin_y = scene.person["chin"][1] - 0.1 * scene.skull_px
    return _behind_a_hand(scene, scene.person["chin"][0], chin_y, (-40, 25, 60, -15)[index % 4])


def cup_over_the_chin(scene: Scene, index: int) -> Scene:
    """A cup before mouth and chin, as one drinks from it."""
    person, unit = scene.person, scene.skull_px
    x, y = person["chin"][0], person["chin"][1] - 0.32 * unit
    down, across = 0.45 * unit, 0.21 * unit
    cup = np.zeros(scene.pixels.shape[:2], bool)
    cup[
        draw.polygon(
            (y, y, y + down, y + down),
            (x - across, x + across, x + 0.8 * across, x - 0.8 * across),
            cup.shape,
        )
    ] = True
    cup |= _ellipse(scene.pixels, y, x, 0.05 * unit, across)
    return _painted(scene, cup, CUP_COLOURS[index % len(CUP_COLOURS)], x, across)


def with_poster(scene: Scene, other: Scene, size: float) -> Scene:
    """The frame widened by a wall, on which a framed portrait of somebody else hangs, its face `size` times
    as tall as the sitter's."""
    height, width = scene.pixels.shape[:2]
    wall = np.median(scene.pixels[: height // 10].reshape(-1, 3), axis=0)
    left, top, right, bottom = (int(each) for each in other.person["head_box"])
    room = (bottom - top) // 3
    head = other.pixels[max(0, top - room) : bottom + room, max(0, left - room) : right + room]
    factor = size * scene.person["head_height_with_hair"] * height / (bottom - top)
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
    "glare on both lenses": with_glare,
    "glare on one lens": with_glare_on_one_lens,
    "heavy shadow": in_shadow,
    "black and white": in_black_and_white,
    "coloured light": in_coloured_light,
    "hand over an eye": hand_over_an_eye,
    "hand over mouth and chin": hand_over_the_chin,
    "cup before mouth and chin": cup_over_the_chin,
}


def smaller(scene: Scene, head: float) -> Scene:
    """The frame with so much about it, in which its edges go on, that the sitter's head with hair fills
    `head` of the height: 1200 pixels high, 3:2, the sitter below and beside the middle."""
    height, width = 1200, 1800
    factor = head * height / (scene.person["head_height_with_hair"] * scene.truth["height"])
    small = transform.rescale(
        scene.pixels, factor, anti_aliasing=factor < 1, channel_axis=2, preserve_range=True
    )
    small = small[:height, :width]
    x, y = int(0.4 * (width - small.shape[1])), int(0.7 * (height - small.shape[0]))
    around = ((y, height - y - small.shape[0]), (x, width - x - small.shape[1]), (0, 0))
    pixels = np.pad(np.rint(small).clip(0, 255).astype(np.uint8), around, mode="edge")
    truth, person = scene.truth, scene.person
    truth["width"], truth["height"] = width, height
    for name in ("pupil_left", "pupil_right", "chin", "crown"):
        person[name] = [person[name][0] * factor + x, person[name][1] * factor + y]
    person["head_height_with_hair"] = person["head_height"] = head
    return Scene(pixels, truth)


def _behind_a_hand(scene: Scene, x: float, y: float, lean_deg: float) -> Scene:
    """A hand about (x, y), its fingers up and leaning to the right by so much, its arm down out of the
    frame. Four fingers a little apart, each its own round body, so that the gaps between them are seen."""
    unit = scene.skull_px
    lean = np.radians(lean_deg)
    up, side = np.array([-np.cos(lean), np.sin(lean)]), np.array([np.sin(lean), np.cos(lean)])
    at = np.array([y, x])
    skin = tuple(0.92 * level for level in _skin(scene))
    arm_end = at - up * 3 * unit
    parts = [
        (_rod(scene.pixels, at - up * 0.1 * unit, arm_end, 0.13 * unit), 0.16 * unit),
        (_rod(scene.pixels, at - up * 0.12 * unit, at + up * 0.02 * unit, 0.17 * unit), 0.2 * unit),
    ]
    for finger, length in enumerate((0.3, 0.36, 0.34, 0.26)):
        foot = at + side * (finger - 1.5) * 0.092 * unit + up * 0.08 * unit
        parts.append((_rod(scene.pixels, foot, foot + up * length * unit, 0.042 * unit), 0.045 * unit))
    for part, round_px in parts:
        scene = _bodied(scene, part, skin, round_px)
    return scene


def _skin(scene: Scene) -> tuple[float, ...]:
    """The sitter's own skin as the picture shows it: the median about the nose."""
    rows = slice(int(scene.eye_y), int(scene.eye_y + 0.15 * scene.skull_px))
    reach = int(0.12 * scene.skull_px)
    columns = slice(int(scene.middle_x) - reach, int(scene.middle_x) + reach)
    return tuple(np.median(scene.pixels[rows, columns].reshape(-1, 3), axis=0))


def _glaring(scene: Scene, index: int, pupils: Sequence[str]) -> Scene:
    if not scene.person["glasses"]:
        scene = _with_glasses(scene)
    pixels = scene.pixels.astype(float)
    iris_px = Person(scene.person).iris_diameter_px
    for name in pupils:
        x, y = scene.person[name]
        spot = _ellipse(pixels, y, x, (0.7, 0.9)[index % 2] * iris_px, (1.3, 1.05)[index % 2] * iris_px)
        soft = np.clip(1.4 * ndimage.gaussian_filter(spot.astype(float), 0.06 * iris_px), 0, 1)[..., None]
        pixels = pixels * (1 - soft) + 255 * soft
    return Scene(np.rint(pixels).astype(np.uint8), scene.truth)


def _with_glasses(scene: Scene) -> Scene:
    """Round dark rims about both eyes and a bridge between them."""
    iris_px = Person(scene.person).iris_diameter_px
    left, right = scene.person["pupil_left"], scene.person["pupil_right"]
    rims = np.zeros(scene.pixels.shape[:2], bool)
    for x, y in (left, right):
        rims |= _ellipse(rims, y, x, 1.75 * iris_px, 2.1 * iris_px) & ~_ellipse(
            rims, y, x, 1.6 * iris_px, 1.95 * iris_px
        )
    start, end = left[0] + 2 * iris_px, right[0] - 2 * iris_px
    rims |= _rod(rims, np.array([scene.eye_y, start]), np.array([scene.eye_y, end]), 0.08 * iris_px)
    scene = _painted(scene, rims, RIM_COLOUR, scene.middle_x, scene.skull_px)
    scene.person["glasses"] = True
    return scene


def _ellipse(pixels: Pixels, y: float, x: float, down: float, across: float) -> np.ndarray:
    mask = np.zeros(pixels.shape[:2], bool)
    mask[draw.ellipse(y, x, down, across, mask.shape)] = True
    return mask


def _rod(pixels: Pixels, start: np.ndarray, end: np.ndarray, radius: float) -> np.ndarray:
    """All within `radius` of the line from `start` to `end`, both (y, x)."""
    mask = np.zeros(pixels.shape[:2], bool)
    way = end - start
    way = way / max(float(np.hypot(*way)), 1e-6) * radius
    across = np.array([-way[1], way[0]])
    corners = np.array([start + across, end + across, end - across, start - across])
    mask[draw.polygon(corners[:, 0], corners[:, 1], mask.shape)] = True
    for y, x in (start, end):
        mask[draw.disk((y, x), max(radius, 0.5), shape=mask.shape)] = True
    return mask


def _painted(
    scene: Scene, mask: np.ndarray, level: Sequence[float], middle_x: float, half_px: float
) -> Scene:
    """`mask` in one colour, shaded toward its sides to look round, soft at its border, with grain."""
    across = np.clip((np.arange(mask.shape[1]) - middle_x) / (1.4 * half_px), -1, 1)
    shade = (0.55 + 0.45 * np.sqrt(1 - across**2))[None, :, None]
    return _laid_over(scene, mask, np.array(level) * shade)


def _bodied(scene: Scene, mask: np.ndarray, level: Sequence[float], round_px: float) -> Scene:
    """`mask` in one colour, darker within `round_px` of its border, so that it looks round."""
    depth = np.clip(ndimage.distance_transform_edt(mask) / round_px, 0, 1)
    shade = 0.6 + 0.4 * np.sqrt(1 - (1 - depth) ** 2)
    return _laid_over(scene, mask, np.array(level) * shade[..., None])


def _laid_over(scene: Scene, mask: np.ndarray, levels: np.ndarray) -> Scene:
    grain = np.random.default_rng(1).normal(0, 2.0, mask.shape)[..., None]
    soft = ndimage.gaussian_filter(mask.astype(float), 1.0)[..., None]
    pixels = scene.pixels * (1 - soft) + (levels + grain) * soft
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
