"""Things drawn before a face, and things on a face that cover nothing: material for the cover network.

A cover is a height map with a colour, lit from one side, that throws a soft shadow on what lies behind it.
Lengths are in interpupillary distances (IPD); the face stands upright on `Place.up`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from drawn_eyes import texture
from numpy.typing import NDArray

Levels = NDArray[np.float32]
"""(M, N, 3), 0 to 1."""

Random = np.random.Generator


@dataclass(frozen=True)
class Place:
    """Where a face lies in a picture: pixels, and its skin's `tone` (3,), 0 to 1."""

    left_eye: NDArray[np.float64]
    right_eye: NDArray[np.float64]
    chin: NDArray[np.float64]
    top: NDArray[np.float64]
    tone: Levels

    @property
    def middle(self) -> NDArray[np.float64]:
        """Midway between the pupils."""
        return (self.left_eye + self.right_eye) / 2

    @property
    def unit(self) -> float:
        """The interpupillary distance as a face toward the lens would have it: 0.53 of eyes to chin."""
        return float(0.53 * np.hypot(*(self.chin - self.middle)))

    @property
    def down(self) -> NDArray[np.float64]:
        """The face's own way down, of length 1."""
        way = self.chin - self.middle
        return np.asarray(way / np.hypot(*way))

    @property
    def across(self) -> NDArray[np.float64]:
        """The face's own way to the right, of length 1."""
        return np.array([self.down[1], -self.down[0]])

    @property
    def mouth(self) -> NDArray[np.float64]:
        """The middle of the lips."""
        return np.asarray(self.middle + 0.62 * (self.chin - self.middle))


@dataclass
class Sheet:
    """What is drawn: `height` (M, N), 0 where nothing is, and `colour` (M, N, 3)."""

    height: NDArray[np.float32]
    colour: Levels


def empty(shape: tuple[int, ...]) -> Sheet:
    """Nothing drawn yet."""
    return Sheet(np.zeros(shape[:2], np.float32), np.zeros((*shape[:2], 3), np.float32))


def add_rounded(sheet: Sheet, mask: NDArray[np.uint8], colour: Levels, roundness: float, lift: float) -> None:
    """Lay a body with the outline `mask` on top: its height rises from the rim over `roundness` pixels."""
    inside = cv2.distanceTransform(mask, cv2.DIST_L2, 3)
    rise = np.clip(inside / max(roundness, 1.0), 0, 1)
    height = (np.sqrt(1 - (1 - rise) ** 2) * roundness + lift) * (mask > 0)
    on = mask > 0
    sheet.height[on] = height[on]
    sheet.colour[on] = colour


def limb(shape: tuple[int, ...], spine: NDArray[np.float64], radii: NDArray[np.float64]) -> NDArray[np.uint8]:
    """A bent, tapering rod along the points of `spine`."""
    mask = np.zeros(shape[:2], np.uint8)
    for (a, b), (first, last) in zip(pairwise(spine), pairwise(radii), strict=True):
        way = (b - a) / max(float(np.hypot(*(b - a))), 1e-6)
        side = np.array([-way[1], way[0]])
        corners = np.array([a + side * first, b + side * last, b - side * last, a - side * first])
        cv2.fillConvexPoly(mask, np.rint(corners * 8).astype(np.int32), 1, cv2.LINE_8, 3)
        for point, radius in ((a, first), (b, last)):
            cv2.circle(mask, np.rint(point * 8).astype(int).tolist(), round(radius * 8), 1, -1, cv2.LINE_8, 3)
    return mask


def turned(vector: NDArray[np.float64], degrees: float) -> NDArray[np.float64]:
    """`vector` turned clockwise as the viewer sees it."""
    angle = np.radians(degrees)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    return np.asarray(turn @ vector)


def hand(random: Random, shape: tuple[int, ...], place: Place, at: NDArray[np.float64]) -> Sheet:
    """A forearm, a back of the hand and two to five jointed fingers, spread or closed, bent or straight."""
    sheet, unit = empty(shape), place.unit * random.uniform(0.85, 1.2)
    skin = np.clip(place.tone * np.exp(random.normal(0, 0.14)) * np.exp(random.normal(0, 0.05, 3)), 0.02, 1)
    skin = skin.astype(np.float32)
    way = turned(place.down * -1, random.uniform(-150, 150))
    side = np.array([-way[1], way[0]])
    reach = random.uniform(-0.2, 1.1) * unit
    palm = at - way * reach
    wrist = palm - way * 0.75 * unit
    arm = np.array([wrist, wrist - turned(way, random.uniform(-35, 35)) * 6 * unit])
    sleeve = random.random() < 0.6
    add_rounded(sheet, limb(shape, arm, np.array([0.38, 0.6]) * unit), skin, 0.4 * unit, 0.1 * unit)
    if sleeve:
        start = arm[0] + (arm[1] - arm[0]) * random.uniform(0.05, 0.3)
        cuff = limb(shape, np.array([start, arm[1]]), np.array([0.5, 0.8]) * unit)
        add_rounded(sheet, cuff, random.uniform(0.02, 0.95, 3).astype(np.float32), 0.4 * unit, 0.2 * unit)
    broad = random.uniform(0.52, 0.68) * unit
    back = limb(
        shape, np.array([wrist + way * 0.2 * unit, palm + way * 0.25 * unit]), np.array([0.42, 0.62]) * unit
    )
    add_rounded(sheet, back, skin, 0.5 * unit, 0.25 * unit)
    fan, curl = random.uniform(0, 12), random.normal(0, 12)
    fist = random.random() < 0.2
    for finger in range(random.integers(3, 5) if random.random() < 0.25 else 4):
        offset = (finger - 1.5) / 1.5
        start = palm + way * (0.55 - 0.1 * abs(offset)) * unit + side * offset * broad * 0.8
        length = (1.25 - 0.22 * abs(offset - 0.2)) * unit * (0.45 if fist else random.uniform(0.85, 1.05))
        heading = turned(way, offset * fan + random.normal(0, 3))
        spine = [start]
        for share in (0.45, 0.3, 0.25):
            spine.append(spine[-1] + heading * share * length)
            heading = turned(heading, curl * random.uniform(0.3, 1.2))
        radii = np.array([0.185, 0.17, 0.155, 0.125]) * unit * random.uniform(0.9, 1.1)
        tint = (skin * np.exp(random.normal(0, 0.05))).astype(np.float32)
        add_rounded(sheet, limb(shape, np.array(spine), radii), tint, 0.17 * unit, 0.3 * unit)
        for joint in spine[1:3]:
            crease = side * 0.13 * unit
            ends = [np.rint(joint + sign * crease).astype(int).tolist() for sign in (-1, 1)]
            cv2.line(sheet.colour, ends[0], ends[1], (tint * 0.8).tolist(), max(1, round(0.03 * unit)))
        if random.random() < 0.5:
            tip = np.rint(spine[-1] - heading * 0.03 * unit).astype(int).tolist()
            nail = tuple(np.clip(tint * random.uniform(1.0, 1.3) + 0.05, 0, 1).tolist())
            cv2.ellipse(sheet.colour, tip, (round(0.08 * unit), round(0.1 * unit)), 0, 0, 360, nail, -1)
    if random.random() < 0.6:
        hand_side = random.choice([-1, 1])
        start = wrist + way * 0.3 * unit + side * hand_side * 0.4 * unit
        heading = turned(way, hand_side * random.uniform(15, 75) * (1 if np.cross(way, side) > 0 else -1))
        spine = [start, start + heading * 0.5 * unit, start + turned(heading, -hand_side * 20) * 0.95 * unit]
        add_rounded(
            sheet,
            limb(shape, np.array(spine), np.array([0.22, 0.19, 0.14]) * unit),
            skin,
            0.2 * unit,
            0.3 * unit,
        )
    return sheet


def sleeve(random: Random, shape: tuple[int, ...], place: Place, at: NDArray[np.float64]) -> Sheet:
    """An arm across the picture, bare or in cloth."""
    sheet, unit = empty(shape), place.unit
    way = turned(place.across, random.uniform(-70, 70))
    bare = random.random() < 0.4
    colour = place.tone * np.exp(random.normal(0, 0.15)) if bare else random.uniform(0.02, 0.95, 3)
    ends = np.array([at - way * 8 * unit, at, at + way * random.uniform(0.5, 8) * unit])
    radii = random.uniform(0.3, 0.75) * unit * np.array([1.2, 1.0, random.uniform(0.7, 1.0)])
    add_rounded(
        sheet, limb(shape, ends, radii), np.clip(colour, 0, 1).astype(np.float32), 0.5 * unit, 0.3 * unit
    )
    return sheet


def thing(random: Random, shape: tuple[int, ...], place: Place, at: NDArray[np.float64]) -> Sheet:
    """A paper, a telephone, a book, a camera, a cup, a microphone: boxes, discs and rods."""
    sheet, unit = empty(shape), place.unit
    colour = random.uniform(0.02, 0.98, 3).astype(np.float32)
    if random.random() < 0.4:
        colour[:] = random.choice([0.03, 0.1, 0.5, 0.85, 0.97])
    kind = random.choice(["sheet", "disc", "microphone"], p=[0.55, 0.2, 0.25])
    mask = np.zeros(shape[:2], np.uint8)
    turn = random.uniform(0, 360)
    if kind == "sheet":
        size = random.uniform(0.5, 2.2, 2) * unit
        corners = cv2.boxPoints((at.tolist(), size.tolist(), turn))
        cv2.fillConvexPoly(mask, np.rint(corners).astype(np.int32), 1)
        add_rounded(sheet, mask, colour, 0.04 * unit, 0.5 * unit)
        for _ in range(random.integers(0, 8)):
            a, b = corners[random.integers(4)], corners[random.integers(4)]
            share = random.uniform(0.1, 0.9, 2)
            ends = [
                np.rint(at + (end - at) * part).astype(int).tolist()
                for end, part in zip((a, b), share, strict=True)
            ]
            cv2.line(sheet.colour, ends[0], ends[1], random.uniform(0, 1, 3).tolist(), random.integers(1, 6))
    elif kind == "disc":
        axes = (random.uniform(0.35, 1.0, 2) * unit).astype(int)
        cv2.ellipse(mask, np.rint(at).astype(int).tolist(), axes.tolist(), turn, 0, 360, 1, -1)
        add_rounded(sheet, mask, colour, float(min(axes)), 0.3 * unit)
        for ring in range(random.integers(0, 4)):
            smaller = (axes * (0.8 - 0.2 * ring)).astype(int)
            tone = random.uniform(0, 1, 3).tolist()
            cv2.ellipse(
                sheet.colour, np.rint(at).astype(int).tolist(), smaller.tolist(), turn, 0, 360, tone, -1
            )
    else:
        way = turned(place.down, random.uniform(-80, 80))
        add_rounded(
            sheet,
            limb(shape, np.array([at, at + way * 8 * unit]), np.array([0.2, 0.2]) * unit),
            colour,
            0.2 * unit,
            0.3 * unit,
        )
        cv2.circle(mask, np.rint(at).astype(int).tolist(), round(random.uniform(0.3, 0.5) * unit), 1, -1)
        add_rounded(sheet, mask, random.uniform(0.02, 0.6, 3).astype(np.float32), 0.4 * unit, 0.4 * unit)
    return sheet


def cloth(random: Random, shape: tuple[int, ...], place: Place, at: NDArray[np.float64]) -> Sheet:
    """A scarf or collar drawn up, a veil, a mask: cloth with folds on one side of a wavy border."""
    sheet, unit = empty(shape), place.unit
    way = turned(place.down, random.uniform(-25, 25) + (180 if random.random() < 0.15 else 0))
    side = np.array([-way[1], way[0]])
    waves = random.normal(0, 0.12, 4)
    steps = np.linspace(-1, 1, 40)
    half = random.uniform(1.0, 4.0) * unit
    rim = at - way * random.uniform(0.3, 0.6) * unit
    border = [
        rim + side * s * half + way * unit * sum(w * np.cos((k + 1) * 2 * s) for k, w in enumerate(waves))
        for s in steps
    ]
    deep = random.uniform(0.9, 6.0) * unit
    outline = np.array([*border, border[-1] + way * deep, border[0] + way * deep])
    mask = np.zeros(shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.rint(outline).astype(np.int32)], 1)
    add_rounded(sheet, mask, random.uniform(0.02, 0.95, 3).astype(np.float32), 0.3 * unit, 0.3 * unit)
    ahead = (np.indices(shape[:2])[::-1].T @ turned(side, random.uniform(-50, 50))).T / unit
    folds = np.sin(ahead * random.uniform(2, 9) + random.uniform(0, 6)) * random.uniform(0, 0.12) * unit
    sheet.height += folds.astype(np.float32) * (mask > 0)
    if random.random() < 0.4:
        stripes = np.sin(ahead * random.uniform(5, 25))[..., None] > random.uniform(-0.5, 0.8)
        sheet.colour[:] = np.where(
            stripes & (mask > 0)[..., None], random.uniform(0.02, 0.95, 3), sheet.colour
        )
    return sheet


def strands(random: Random, shape: tuple[int, ...], place: Place, at: NDArray[np.float64]) -> Sheet:
    """A thick lock of hair that falls across."""
    sheet, unit = empty(shape), place.unit
    hair = (
        random.uniform(0.01, 0.15) * np.array([1.3, 1.0, 0.8])
        if random.random() < 0.7
        else np.array([0.7, 0.55, 0.35])
    )
    origin = at - place.down * random.uniform(1.2, 2.0) * unit + place.across * random.normal(0, 0.5) * unit
    far = at + place.down * random.uniform(0.4, 2.5) * unit + place.across * random.normal(0, 0.4) * unit
    spread = random.uniform(0.25, 0.5) * unit
    for _ in range(140):
        shift = random.normal(0, spread / 2, 2)
        path = np.array([origin + shift * 0.6, at + shift, far + shift * 1.2])
        t = np.linspace(0, 1, 12)[:, None]
        curve = (
            (1 - t) ** 2 * path[0]
            + 2 * t * (1 - t) * (2 * path[1] - (path[0] + path[2]) / 2)
            + t**2 * path[2]
        )
        mask_colour = np.clip(hair * np.exp(random.normal(0, 0.35)), 0, 1).tolist()
        points = [np.rint(curve).astype(np.int32)]
        wide = max(1, round(0.05 * unit))
        cv2.polylines(sheet.colour, points, False, mask_colour, wide)
        cv2.polylines(sheet.height, points, False, 0.2 * unit, wide)
    return sheet


def blob(random: Random, shape: tuple[int, ...], place: Place, at: NDArray[np.float64]) -> Sheet:
    """Any smooth body of any colour, the sitter's own skin among them."""
    sheet, unit = empty(shape), place.unit
    angles = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    radius = (
        random.uniform(0.4, 1.0)
        * unit
        * np.exp(sum(random.normal(0, 0.18) * np.cos(k * angles + random.uniform(0, 6)) for k in range(1, 6)))
    )
    outline = at + np.stack([np.cos(angles), np.sin(angles)], axis=1) * radius[:, None]
    mask = np.zeros(shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.rint(outline).astype(np.int32)], 1)
    own = random.random() < 0.5
    colour = place.tone * np.exp(random.normal(0, 0.2)) if own else random.uniform(0.02, 0.95, 3)
    roundness = random.uniform(0.05, 0.7) * unit
    add_rounded(sheet, mask, np.clip(colour, 0, 1).astype(np.float32), roundness, 0.3 * unit)
    return sheet


Cover = Callable[[Random, tuple[int, ...], Place, NDArray[np.float64]], Sheet]
COVERS: tuple[tuple[Cover, float], ...] = (
    (hand, 0.42),
    (sleeve, 0.1),
    (thing, 0.16),
    (cloth, 0.14),
    (strands, 0.08),
    (blob, 0.1),
)
"""What is drawn, and how often."""


def covered(random: Random, levels: Levels, place: Place) -> tuple[Levels, NDArray[np.bool_]]:
    """`levels` with one thing before the face or beside it, and where it is."""
    kinds, odds = zip(*COVERS, strict=True)
    kind = kinds[random.choice(len(kinds), p=odds)]
    aims = (place.left_eye, place.right_eye, place.mouth, place.chin, place.middle, place.top)
    aim = aims[random.choice(len(aims), p=(0.2, 0.2, 0.17, 0.23, 0.1, 0.1))]
    sheet = kind(random, levels.shape, place, aim + random.normal(0, 0.22, 2) * place.unit)
    return lit(random, levels, sheet, place.unit)


def lit(random: Random, levels: Levels, sheet: Sheet, unit: float) -> tuple[Levels, NDArray[np.bool_]]:
    """`sheet` before `levels`: shaded by the slope of its height, with its shadow on what is behind."""
    on = sheet.height > 0
    height = cv2.GaussianBlur(sheet.height, (0, 0), max(0.8, random.uniform(0.02, 0.08) * unit))
    slope_y, slope_x = np.gradient(height)
    normal = np.stack([-slope_x, -slope_y, np.ones_like(height)], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    lamp = np.array([random.normal(0, 0.8), -abs(random.normal(0.3, 0.5)), 1.0])
    lamp /= np.linalg.norm(lamp)
    ambient = random.uniform(0.3, 0.7)
    shade = ambient + (1 - ambient) * np.clip(normal @ lamp, 0, 1) / lamp[2]
    grain = texture(random, *height.shape) * random.uniform(0, 0.06)
    body = sheet.colour * (shade * (1 + grain))[..., None].astype(np.float32)
    soft = cv2.GaussianBlur(on.astype(np.float32), (0, 0), random.uniform(0.4, 1.2))[..., None]
    shift = -lamp[:2] / lamp[2] * random.uniform(0.1, 0.5) * unit
    moved = cv2.warpAffine(
        on.astype(np.float32), np.array([[1, 0, shift[0]], [0, 1, shift[1]]]), height.shape[::-1]
    )
    shadow = cv2.GaussianBlur(moved, (0, 0), random.uniform(0.05, 0.3) * unit) * random.uniform(0, 0.6)
    behind = levels * (1 - shadow[..., None])
    return np.clip(behind * (1 - soft) + body * soft, 0, 1).astype(np.float32), on
