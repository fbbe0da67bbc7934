"""Material for the estimator of blur at an eye: rendered, drawn and real eyes, degraded in known ways.

Each is scaled, textured, blurred, streaked, exposed, made noisy and stored as JPEG; what is to be learnt is
the variance of the blur that results.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from crowd_looks import crowd_faces
from drawn_eyes import drawn_eye, texture
from numpy.typing import NDArray
from real_eyes import real_eyes

from eyeline.measuring.blur_network import described
from eyeline.measuring.edges import slope_energy
from eyeline.measuring.eye_region import (
    HEIGHT_RADII,
    MARGIN_PX,
    WIDTH_RADII,
    ellipse,
    without_highlights,
)
from eyeline.measuring.pupils import pupils
from eyeline.measuring.srgb import LINEAR_OF_BYTE, LINEAR_SEGMENT_END, LINEAR_SEGMENT_SLOPE, encode

DRAWN, DRAWN_RADIUS_PX, DRAWN_HALF_RADII = 90, 72.0, 3.0
PER_DRAWN, PER_CROWD, PER_DARK, DARK_TONE = 24, 6, 18, 8
"""Degradations of each eye; of the skin tones from the last on, of which the crowd has few, more."""
APERTURE_SIGMA_PX = 12**-0.5
"""A pixel averages over a square of side 1: sigma of the picture that is only scaled down."""
ENCODED = encode(np.arange(65536) / 65535).astype(np.float32)
PER_PORTRAIT, PER_STUDIO, FIRST_STUDIO = 34, 24, 3000
"""Degradations of each real eye, by set; the studio's sitters are numbered from the last on."""
AS_IT_IS, LEAST_OVER_OWN = 0.4, 1.5
"""Share of real eyes in their own size, which are blurred by so many times their own blur at the least."""
OF_LEVELS = 0.3
"""Share of blurs that average levels, as editors do, not light, as lenses do."""
SMALLEST_RADIUS_PX, LARGEST_RADIUS_PX = 3.0, 70.0


@dataclass(frozen=True, slots=True, eq=False)
class Eye:
    """`light` (m, n, 3) linear; iris `centre` (x, y) and `radius`; `sigma` of its blur, in its pixels;
    `tone` of the skin, 1 light to 10 dark, 0 of a drawn or a real eye.
    """

    light: NDArray[np.float32]
    centre: tuple[float, float]
    radius: float
    sigma: float
    sitter: int
    tone: int = 0
    real: bool = False


def crowd_eyes(crowd: Path) -> Iterator[Eye]:
    """Both eyes of every frame of the crowd, where the iris is seen or the eyes are closed."""
    for person, picture, landmarks in crowd_faces(crowd):
        irises = pupils(landmarks)
        seen = dict(zip("rl", person["iris_visible"], strict=True))  # listed by the sitter's own side
        for side, centre, radius in (
            ("l", irises.left, irises.left_radius_px),
            ("r", irises.right, irises.right_radius_px),
        ):
            if seen[side] < 0.2 and person["eyes"] != "closed":
                continue
            half = int(4.5 * radius) + 4
            x, y = int(centre[0]), int(centre[1])
            left, top = max(0, x - half), max(0, y - half)
            patch = picture.rgb[top : y + half, left : x + half]
            yield Eye(
                LINEAR_OF_BYTE.astype(np.float32)[patch],
                (centre[0] - left, centre[1] - top),
                radius,
                person["true_eye_blur_sigma_px"],
                int(person["sitter"][1:]),
                person["tone_index"],
            )


def drawn_eyes(random: np.random.Generator) -> Iterator[Eye]:
    """`DRAWN` large drawn eyes."""
    half = DRAWN_RADIUS_PX * DRAWN_HALF_RADII
    for number in range(DRAWN):
        light = drawn_eye(random, DRAWN_RADIUS_PX, half)
        middle = light.shape[0] / 2
        yield Eye(light, (middle, middle), DRAWN_RADIUS_PX, APERTURE_SIGMA_PX, 1000 + number)


def degraded(random: np.random.Generator, eye: Eye, drawn: bool) -> tuple[NDArray[np.float64], list[float]]:
    """Features of one known degradation of `eye`, and (variance, anisotropy along rows, along the
    falling diagonal, sitter, iris radius, tone of the skin): anisotropies are differences of variance over
    twice its mean.
    """
    light = eye.light
    if random.random() < 0.5:
        grain = texture(random, *light.shape[:2])[..., None]
        light = light * (1 + np.float32(random.uniform(0, 0.12)) * grain)
    if drawn:
        radius = float(np.exp(random.uniform(np.log(SMALLEST_RADIUS_PX), np.log(LARGEST_RADIUS_PX))))
    elif eye.real:
        # At a third to two thirds of its size little is left of a photograph's own blur, which is not known.
        least = max(SMALLEST_RADIUS_PX / eye.radius, 0.2)
        as_it_is = random.random() < AS_IT_IS
        radius = eye.radius * (1.0 if as_it_is else random.uniform(least, max(least, 0.65)))
    else:
        radius = eye.radius * float(np.exp(random.uniform(np.log(0.25), np.log(3.3))))
        radius = eye.radius if random.random() < 0.25 else max(SMALLEST_RADIUS_PX, radius)
    scale = radius / eye.radius
    own = 0.0 if drawn else eye.sigma * scale
    if scale != 1:
        size = (round(light.shape[1] * scale), round(light.shape[0] * scale))
        way = cv2.INTER_CUBIC if scale > 1 else cv2.INTER_AREA
        light = cv2.resize(light, size, interpolation=way)
        own = float(np.hypot(own, APERTURE_SIGMA_PX))
    sigma = 0.0 if random.random() < 0.15 else float(np.exp(random.uniform(np.log(0.4), np.log(8))))
    if eye.real and scale == 1:
        sigma = max(sigma, LEAST_OVER_OWN * eye.sigma)
    sigma = min(sigma, 0.55 * radius)
    along, diagonal, streak = 0.0, 0.0, 0.0
    if sigma and random.random() < OF_LEVELS:
        levels = np.asarray(encode(light) / 255, np.float32)
        blurred = cv2.GaussianBlur(levels, (0, 0), sigma, borderType=cv2.BORDER_REFLECT)
        light = np.asarray(linear(blurred), np.float32)
    elif sigma:
        light = cv2.GaussianBlur(light, (0, 0), sigma, borderType=cv2.BORDER_REFLECT)
    if random.random() < 0.3:
        length = float(np.exp(random.uniform(np.log(3), np.log(24))))
        length, angle = min(length, 2.2 * radius), random.uniform(0, np.pi)
        light = cv2.filter2D(light, -1, streak_kernel(length, angle), borderType=cv2.BORDER_REFLECT)
        streak = length**2 / 12
        along, diagonal = np.cos(2 * angle) * streak / 2, np.sin(2 * angle) * streak / 2
    variance = own**2 + sigma**2 + streak / 2
    x, y = (value * scale for value in eye.centre)
    reach = int(WIDTH_RADII * radius) + MARGIN_PX + 8
    left, top = max(0, int(x) - reach), max(0, int(y) - reach)
    light = light[top : int(y) + reach, left : int(x) + reach]
    x, y = x - left, y - top
    light = light * np.float32(2.0 ** random.choice([0, 0, 0, -2.5, -1.5, -0.7, 0.7]))
    noise = random.choice([0, 0.001, 0.003, 0.003, 0.01, 0.02])
    if noise:
        grain = random.standard_normal(light.shape, np.float32) * np.float32(noise)
        light = light + grain * np.sqrt(np.maximum(light, 0) + np.float32(0.002))
    levels = ENCODED[(np.clip(light, 0, 1) * 65535).astype(np.uint16)]
    if random.random() < 0.4:  # cameras and editors bend the tone curve
        levels = 255 * (levels / 255) ** random.uniform(0.75, 1.3)
    pixels = np.rint(levels).astype(np.uint8)
    if random.random() < 0.15:
        pixels = np.repeat(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)[..., None], 3, axis=2)
    quality = int(random.choice([80, 88, 92, 92, 95, 98]))
    stored = cv2.imencode(".jpg", pixels[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    grey = cv2.cvtColor(cv2.imdecode(stored, cv2.IMREAD_COLOR), cv2.COLOR_BGR2GRAY)

    wander = random.normal(0, 0.03 * radius + 0.1 * np.sqrt(variance), 2)
    x, y = x + wander[0], y + wander[1]
    radius *= float(np.exp(random.normal(0, 0.05)))
    half_width, half_height = WIDTH_RADII * radius + MARGIN_PX, HEIGHT_RADII * radius + MARGIN_PX
    left, top = max(0, int(x - half_width)), max(0, int(y - half_height))
    grey = grey[top : int(y + half_height) + 1, left : int(x + half_width) + 1]
    mask = ellipse(grey.shape, (x - left, y - top), radius)
    features = described(slope_energy(*without_highlights(grey, mask, radius)), radius)
    return features, [
        variance,
        along / variance,
        diagonal / variance,
        float(eye.sitter),
        radius,
        float(eye.tone),
    ]


def streak_kernel(length: float, angle: float) -> NDArray[np.float32]:
    """Uniform streak of `length` pixels at `angle` (radians, clockwise from the rows), sum 1."""
    side = 2 * int(length / 2 + 2) + 1
    kernel = np.zeros((side, side), np.float64)
    for step in np.linspace(-length / 2, length / 2, 8 * side):
        x, y = side // 2 + step * np.cos(angle), side // 2 + step * np.sin(angle)
        column, row = int(x), int(y)
        fx, fy = x - column, y - row
        kernel[row : row + 2, column : column + 2] += np.outer([1 - fy, fy], [1 - fx, fx])
    return (kernel / kernel.sum()).astype(np.float32)


def linear(encoded: NDArray[np.float32]) -> NDArray[np.float32]:
    """Light of sRGB values 0 to 1 (IEC 61966-2-1)."""
    curve = ((encoded + np.float32(0.055)) / np.float32(1.055)) ** np.float32(2.4)
    return np.where(encoded <= LINEAR_SEGMENT_END, encoded / np.float32(LINEAR_SEGMENT_SLOPE), curve)


def photographed(real: Path) -> Iterator[Eye]:
    """Real eyes in linear light."""
    for eye in real_eyes(real):
        light = LINEAR_OF_BYTE.astype(np.float32)[eye.rgb]
        yield Eye(light, eye.centre, eye.radius, eye.sigma, eye.sitter, real=True)


PARTS = ("crowd", "drawn", "real")


def material(part: str, folder: Path | None) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Features and truths of all degradations of one of `PARTS`; `folder` holds the crowd, or real eyes."""
    random = np.random.default_rng((20260914, PARTS.index(part)))
    features, known = [], []
    for eye in _eyes(part, folder, random):
        for _ in range(_times(eye, part)):
            one, truth = degraded(random, eye, part == "drawn")
            if np.isfinite(one).all():
                features.append(one)
                known.append(truth)
    return np.array(features), np.array(known)


def _eyes(part: str, folder: Path | None, random: np.random.Generator) -> Iterator[Eye]:
    if part == "drawn":
        return drawn_eyes(random)
    assert folder is not None
    return crowd_eyes(folder) if part == "crowd" else photographed(folder)


def _times(eye: Eye, part: str) -> int:
    if part == "drawn":
        return PER_DRAWN
    if part == "real":
        return PER_STUDIO if eye.sitter >= FIRST_STUDIO else PER_PORTRAIT
    return PER_DARK if eye.tone >= DARK_TONE else PER_CROWD
