"""Eyes drawn at random, in linear light, at any size: training material with an exactly known blur.

Rendered sitters are at hand in one size only, so that their large eyes are enlarged and never sharp.
These drawings have hard edges of their own (lashes, pupil, highlights) beside naturally soft ones (rim of
the iris, lids, shade) at every size. Lengths are in iris radii about the middle of the iris.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

OVERSAMPLING = 2
"""Drawn this many times larger, then averaged: edges get the aperture of a pixel."""


def texture(random: np.random.Generator, rows: int, columns: int) -> NDArray[np.float32]:
    """Noise of zero mean and unit variance, summed over octaves whose share falls at random."""
    field = np.zeros((rows, columns), np.float32)
    falls = random.uniform(0.6, 1.8)
    for octave in range(6):
        size = (columns >> octave, rows >> octave)
        if min(size) < 2:
            break
        noise = random.standard_normal(size[::-1], np.float32)
        field += np.float32(falls**octave) * cv2.resize(
            noise, (columns, rows), interpolation=cv2.INTER_LINEAR
        )
    return np.asarray((field - field.mean()) / field.std(), np.float32)


def drawn_eye(random: np.random.Generator, radius: float, half: float) -> NDArray[np.float32]:
    """Linear light (n, n, 3) of an eye with iris `radius` pixels, the iris in the middle, reaching
    `half` pixels to each side. Its only blur is the aperture of the pixel.
    """
    side = 2 * int(half) + 1
    scale = radius * OVERSAMPLING
    large = side * OVERSAMPLING
    coordinates = ((np.arange(large, dtype=np.float32) + 0.5) / OVERSAMPLING - side / 2) / radius
    turn, squeeze = random.normal(0, 0.12), random.uniform(0.72, 1.0)
    x, y = np.meshgrid(coordinates, coordinates)
    u = (x * np.cos(turn) + y * np.sin(turn)) / squeeze
    v = -x * np.sin(turn) + y * np.cos(turn)

    tint = np.array([1.0, random.uniform(0.5, 0.8), random.uniform(0.3, 0.7)], np.float32)
    skin = np.exp(random.uniform(np.log(0.03), np.log(0.6)))
    shade = 1 + random.uniform(-0.25, 0.25) * u / 3 + random.uniform(-0.3, 0.3) * v / 3
    shade = np.clip(shade, 0.2, 2) * np.exp(random.uniform(0.0, 0.15) * texture(random, large, large))
    light = (skin * shade)[..., None] * tint

    middle = random.normal(0, 0.35)
    width = random.uniform(2.1, 2.8)
    arc = np.clip(1 - ((u - middle) / width) ** 2, 0, None)
    openness = 0.0 if random.random() < 0.07 else random.uniform(0.35, 1.15)
    upper, lower = -openness * random.uniform(0.8, 1.2) * arc, min(openness, 0.95) * arc
    lid_softness = random.uniform(0.01, 0.08)
    crease = -random.uniform(0.3, 0.9) + upper - 0.3
    fold = np.exp(-(((v - crease) / random.uniform(0.03, 0.2)) ** 2)) * random.uniform(0, 0.5) * (arc > 0)
    light *= 1 - fold[..., None]

    white = skin * random.uniform(0.8, 3.0) if random.random() < 0.8 else random.uniform(0.1, 0.6)
    eyeball = np.full((large, large, 3), white, np.float32) * np.array([1, 0.95, 0.92], np.float32)
    eyeball *= (1 - random.uniform(0.1, 0.6) * np.clip(np.abs(u) / 3, 0, 1))[..., None]
    distance, angle = np.hypot(u, v), np.arctan2(v, u)
    iris = np.exp(random.uniform(np.log(0.008), np.log(0.25)))
    spokes = sum(
        random.normal(0, 1) * np.cos(random.integers(5, 40) * angle + random.uniform(0, 6.3))
        for _ in range(6)
    )
    pattern = iris * np.exp(random.uniform(0, 0.25) * spokes / 2.5)
    pattern *= 1 - random.uniform(0.2, 0.8) * np.exp(-(((distance - 0.93) / 0.1) ** 2))
    colour = np.array([1, random.uniform(0.5, 1.2), random.uniform(0.3, 1.5)], np.float32)
    eyeball = _over(eyeball, pattern[..., None] * colour, _soft(1 - distance, random.uniform(0.01, 0.1)))
    pupil = random.uniform(0.22, 0.5)
    eyeball = _over(eyeball, np.float32(0.002), _soft(pupil - distance, random.uniform(0.005, 0.04)))
    shadow = np.exp(-np.clip(v - upper, 0, None) / random.uniform(0.1, 0.6)) * random.uniform(0.2, 0.8)
    eyeball *= 1 - shadow[..., None]
    for _ in range(random.integers(0, 3)):
        at = random.normal(0, 0.35, 2)
        size = random.uniform(0.05, 0.28) * np.array([1, random.uniform(0.6, 1.6)])
        power = 2 if random.random() < 0.5 else 8
        inside = 1 - (np.abs((u - at[0]) / size[0]) ** power + np.abs((v - at[1]) / size[1]) ** power)
        bright = np.float32(np.exp(random.uniform(np.log(0.15), np.log(20))) * max(white, 0.2))
        eyeball = _over(eyeball, bright, _soft(inside * size.min(), 0.01))
    opening = _soft(np.minimum(v - upper, lower - v), lid_softness) if openness else np.zeros_like(u)
    light = _over(light, eyeball, opening)

    lash = np.float32(random.uniform(0.002, 0.02))
    line = _soft(random.uniform(0.02, 0.14) - np.abs(v - upper), 0.02) * (arc > 0.02) * random.uniform(0.2, 1)
    light = _over(light, lash, line)
    if random.random() < 0.75:
        light = _over(light, lash, _lashes(random, large, scale, turn, squeeze, middle, width, openness))
    small = cv2.resize(light, (side, side), interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.float32)


def _lashes(
    random: np.random.Generator,
    large: int,
    scale: float,
    turn: float,
    squeeze: float,
    middle: float,
    width: float,
    openness: float,
) -> NDArray[np.float32]:
    canvas = np.zeros((large, large), np.uint8)
    thick = random.uniform(0.015, 0.06) * scale
    cos, sin = np.cos(turn), np.sin(turn)
    for start in random.uniform(-0.95, 0.95, random.integers(10, 45)):
        root = -openness * (1 - start**2)
        length = random.uniform(0.15, 0.9)
        t = np.linspace(0, 1, 6)
        u = middle + start * width + start * length * t * 0.7 + random.normal(0, 0.06) * t
        v = root - length * t * random.uniform(-0.3, 1.0) + random.uniform(0, 0.3) * t * (1 - t)
        points = np.stack([(u * squeeze * cos - v * sin), (u * squeeze * sin + v * cos)], 1)
        points = np.rint((points * scale + large / 2) * 8).astype(np.int32)
        cv2.polylines(canvas, [points], False, (255,), max(1, round(thick)), cv2.LINE_AA, 3)
    return canvas.astype(np.float32) / 255 * np.float32(random.uniform(0.4, 1.0))


def _soft(inside: NDArray[np.float32], width: float) -> NDArray[np.float32]:
    """0 outside to 1 inside over about `width` either side of zero."""
    return np.asarray(1 / (1 + np.exp(-np.clip(inside / max(width, 1e-3) * 2, -30, 30))), np.float32)


def _over(
    below: NDArray[np.float32], above: NDArray[np.float32] | np.float32, share: NDArray[np.float32]
) -> NDArray[np.float32]:
    return np.asarray(below + (above - below) * share[..., None], np.float32)
