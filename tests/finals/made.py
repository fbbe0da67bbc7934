"""Finals as a retoucher hands them back, made of frames, with the transform that is true of them."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.finals.transform import Transform

Rgb = NDArray[np.uint8]

SHOOT = Path(__file__).resolve().parents[2] / "shoot"


@dataclass(frozen=True, slots=True, eq=False)
class MadeFinal:
    """`pixels`: the final. `truth`: from the frame's pixels to its own."""

    pixels: Rgb
    truth: Transform


def frame_pixels(path: Path) -> Rgb:
    """Upright, as OpenCV turns it by the EXIF orientation."""
    return np.asarray(cv2.cvtColor(cv2.imread(str(path)), cv2.COLOR_BGR2RGB))


def made_final(frame: Rgb, seed: int, turn_deg: float | None = None) -> MadeFinal:
    """A crop of 55 to 95 % of the frame, turned by up to 2 degrees, scaled by 0.5 to 1.2, with a curve, a
    cast, smoothed skin, four spots taken out and a background that is painted darker to one side."""
    chance = np.random.default_rng(seed)
    height, width = frame.shape[:2]
    turn = chance.uniform(-2, 2) if turn_deg is None else turn_deg
    scale = chance.uniform(0.5, 1.2)
    part = chance.uniform(0.55, 0.95)
    final_width, final_height = round(width * part * scale), round(height * part * scale)
    middle = (
        width * (0.5 + (0.98 - part) / 2 * chance.uniform(-1, 1)),
        height * (0.5 + (0.98 - part) / 2 * chance.uniform(-1, 1)),
    )
    a, b = scale * cos(radians(turn)), scale * sin(radians(turn))
    truth = Transform(
        a,
        b,
        final_width / 2 - (a * middle[0] - b * middle[1]),
        final_height / 2 - (b * middle[0] + a * middle[1]),
    )
    # OpenCV counts from the middles of pixels, a Transform from their edges.
    across = truth.across - 0.5 + 0.5 * a - 0.5 * b
    down = truth.down - 0.5 + 0.5 * b + 0.5 * a
    matrix = np.array([[a, -b, across], [b, a, down]])
    soft = cv2.GaussianBlur(frame, (0, 0), 0.5 / scale) if scale < 1 else frame
    pixels = cv2.warpAffine(
        soft, matrix, (final_width, final_height), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    return MadeFinal(_retouched(pixels, chance), truth)


def _retouched(pixels: Rgb, chance: np.random.Generator) -> Rgb:
    height, width = pixels.shape[:2]
    value = pixels.astype(np.float32) / 255
    value = value ** chance.uniform(0.75, 1.3)
    value = np.clip(value + chance.uniform(0.1, 0.3) * (value - 0.5) * (1 - np.abs(2 * value - 1)), 0, 1)
    value = value * np.array([chance.uniform(0.95, 1.05) for _ in range(3)], np.float32)
    smooth = cv2.bilateralFilter(value, 7, 0.08, 5)
    region = np.zeros((height, width, 1), np.float32)
    centre = (round(width * chance.uniform(0.4, 0.6)), round(height * chance.uniform(0.35, 0.6)))
    cv2.ellipse(region, centre, (width // 6, height // 6), 0, 0, 360, 1.0, -1)
    region = cv2.GaussianBlur(region, (0, 0), width / 60)[..., None]
    value = region * smooth + (1 - region) * value
    ramp = np.linspace(0, chance.uniform(0.0, 0.25), width, dtype=np.float32)[None, :, None]
    value = value * (1 - ramp)
    made = np.clip(np.rint(value * 255), 0, 255).astype(np.uint8)
    for _ in range(4):  # blemishes taken out
        spot = np.zeros((height, width), np.uint8)
        place = (round(width * chance.uniform(0.3, 0.7)), round(height * chance.uniform(0.3, 0.7)))
        cv2.circle(spot, place, max(2, width // 80), 255, -1)
        made = cv2.inpaint(made, spot, 3, cv2.INPAINT_TELEA)
    return np.asarray(made)


def off_by(found: Transform, truth: Transform, frame: tuple[int, int], final_width: int) -> float:
    """How far off the corners and the middle of the frame's central half are put, at the worst, as a share of
    the final's width."""
    width, height = frame
    places = [(width * x, height * y) for x in (0.25, 0.5, 0.75) for y in (0.25, 0.5, 0.75)]
    worst = 0.0
    for place in places:
        (x, y), (there_x, there_y) = found.place(*place), truth.place(*place)
        worst = max(worst, float(np.hypot(x - there_x, y - there_y)))
    return worst / final_width
