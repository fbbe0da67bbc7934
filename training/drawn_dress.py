"""What faces wear and what light does to them, drawn: things that cover neither eye nor chin."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from drawn_covers import Levels, Place, Random, turned
from drawn_eyes import texture


def glasses(random: Random, levels: Levels, place: Place) -> Levels:
    """Rims about both eyes and a bridge, thin or thick; the lenses tinted a little, some with glints."""
    unit, painted = place.unit, levels.copy()
    rim = np.zeros(levels.shape[:2], np.uint8)
    lens = np.zeros(levels.shape[:2], np.uint8)
    wide, high = random.uniform(0.36, 0.46) * unit, random.uniform(0.26, 0.4) * unit
    thick = max(1, round(random.uniform(0.02, 0.1) * unit))
    turn = float(np.degrees(np.arctan2(*(place.right_eye - place.left_eye)[::-1])))
    between = float(np.hypot(*(place.right_eye - place.left_eye))) / unit
    for eye in (place.left_eye, place.right_eye):
        middle = np.rint(eye + place.down * random.uniform(0.0, 0.08) * unit).astype(int).tolist()
        axes = (max(2, round(wide * min(1, between))), round(high))
        if random.random() < 0.5:
            cv2.ellipse(rim, middle, axes, turn, 0, 360, 1, thick)
            cv2.ellipse(lens, middle, axes, turn, 0, 360, 1, -1)
        else:
            box = np.rint(cv2.boxPoints((middle, (2 * axes[0], 2 * axes[1]), turn))).astype(np.int32)
            cv2.polylines(rim, [box], True, 1, thick)
            cv2.fillConvexPoly(lens, box, 1)
    ends = [
        np.rint(eye + (place.middle - eye) * 0.62).astype(int).tolist()
        for eye in (place.left_eye, place.right_eye)
    ]
    cv2.line(rim, ends[0], ends[1], 1, thick)
    tint = 1 - lens[..., None] * random.uniform(0, 0.25, 3) * (random.random() < 0.5)
    painted *= tint.astype(np.float32)
    soft = cv2.GaussianBlur(rim.astype(np.float32), (0, 0), 0.7)[..., None]
    colour = random.uniform(0, 0.5, 3) if random.random() < 0.8 else random.uniform(0.5, 1, 3)
    return np.asarray(painted * (1 - soft) + colour * soft, np.float32)


def shadow(random: Random, levels: Levels, place: Place) -> Levels:
    """Part of the face up to three and a half stops down behind a straight, soft or hard border."""
    way = turned(place.across, random.uniform(-180, 180))
    at = place.middle + (place.chin - place.middle) * random.uniform(-0.3, 0.9)
    rows, columns = np.indices(levels.shape[:2])
    along = ((columns - at[0]) * way[0] + (rows - at[1]) * way[1]) / place.unit
    dark = 1 / (1 + np.exp(np.clip(-along / random.uniform(0.02, 0.5), -30, 30)))
    if random.random() < 0.3:
        dark = dark * (along < random.uniform(0.3, 1.2))
    gain = 2.0 ** (-random.uniform(0.5, 3.5) * dark / 2.2)
    return np.asarray(levels * gain[..., None], np.float32)


def beard(random: Random, levels: Levels, place: Place) -> Levels:
    """Dark or grey stubble to full beard over jaw and upper lip, the lips left free."""
    unit = place.unit
    field = np.zeros(levels.shape[:2], np.float32)
    middle = place.mouth + place.down * random.uniform(0.1, 0.3) * unit
    turn = float(np.degrees(np.arctan2(place.across[1], place.across[0])))
    axes = (round(random.uniform(0.6, 1.05) * unit), round(random.uniform(0.55, 1.0) * unit))
    cv2.ellipse(field, np.rint(middle).astype(int).tolist(), axes, turn, 0, 360, 1.0, -1)
    lips = (round(0.42 * unit), round(random.uniform(0.1, 0.18) * unit))
    cv2.ellipse(field, np.rint(place.mouth).astype(int).tolist(), lips, turn, 0, 360, 0.0, -1)
    field = cv2.GaussianBlur(field, (0, 0), random.uniform(0.05, 0.2) * unit) * random.uniform(0.4, 1.0)
    field = np.clip(field * (1 + 0.35 * texture(random, *field.shape)), 0, 1)[..., None]
    colour = (
        random.uniform(0.02, 0.2) * np.array([1.2, 1.0, 0.85])
        if random.random() < 0.7
        else random.uniform(0.5, 0.85)
    )
    return np.asarray(levels * (1 - field) + colour * field * (0.6 + levels), np.float32)


def headwear(random: Random, levels: Levels, place: Place) -> Levels:
    """A brim, a fringe or a scarf about the face: all that lies above the brows or outside the cheeks."""
    unit = place.unit
    rows, columns = np.indices(levels.shape[:2])
    x = ((columns - place.middle[0]) * place.across[0] + (rows - place.middle[1]) * place.across[1]) / unit
    y = ((columns - place.middle[0]) * place.down[0] + (rows - place.middle[1]) * place.down[1]) / unit
    border = -random.uniform(0.42, 0.9) + random.normal(0, 0.08) * x + random.normal(0, 0.06) * x**2
    mask = y < border
    if random.random() < 0.5:
        mask |= np.abs(x) > random.uniform(1.0, 1.3)
    mask &= y > -random.uniform(1.6, 3.0)
    soft = cv2.GaussianBlur(mask.astype(np.float32), (0, 0), random.uniform(0.5, 2.0))[..., None]
    colour = random.uniform(0.02, 0.95, 3)
    shade = np.clip(1 - 0.35 * np.abs(x) + 0.2 * texture(random, *mask.shape) * random.random(), 0.1, 1.3)
    cast = 1 - cv2.GaussianBlur(
        np.roll(mask, round(0.15 * unit), 0).astype(np.float32), (0, 0), 0.1 * unit
    ) * random.uniform(0, 0.5)
    return np.asarray(levels * cast[..., None] * (1 - soft) + colour * shade[..., None] * soft, np.float32)


def make_up(random: Random, levels: Levels, place: Place) -> Levels:
    """Lips, lids and cheeks of another colour."""
    field = np.zeros(levels.shape[:2], np.float32)
    unit = place.unit
    turn = float(np.degrees(np.arctan2(place.across[1], place.across[0])))
    for spot, axes in (
        (place.mouth, (0.4, 0.14)),
        (place.left_eye, (0.35, 0.25)),
        (place.right_eye, (0.35, 0.25)),
    ):
        if random.random() < 0.6:
            size = [round(each * unit) for each in axes]
            cv2.ellipse(field, np.rint(spot).astype(int).tolist(), size, turn, 0, 360, 1.0, -1)
    field = cv2.GaussianBlur(field, (0, 0), random.uniform(0.05, 0.15) * unit)[..., None] * random.uniform(
        0.1, 0.6
    )
    return np.asarray(levels * (1 - field + field * random.uniform(0.2, 1.1, 3)), np.float32)


DRESS: tuple[tuple[Callable[[Random, Levels, Place], Levels], float], ...] = (
    (glasses, 0.3),
    (shadow, 0.35),
    (beard, 0.2),
    (headwear, 0.3),
    (make_up, 0.15),
)
"""What is drawn, and the chance of each."""


def dressed(random: Random, levels: Levels, place: Place) -> Levels:
    """`levels` with some of these."""
    for draw, chance in DRESS:
        if random.random() < chance:
            levels = np.clip(draw(random, levels, place), 0, 1)
    return levels
