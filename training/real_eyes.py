"""Real eyes for training: sharp portraits and studio pictures that may be looked at, never those kept aside.

What a photograph's own blur is nobody knows, but a picture at half its size has half of it: material is made
of eyes that were scaled down, or blurred by far more than their own.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.edges import edge_sigma, slope_energy
from eyeline.measuring.eye_region import eye_regions, without_highlights
from eyeline.reading.finder import find_boxes
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.mesh import landmarks_in
from eyeline.reading.picture import picture_of

LEAST_RADIUS_PX = 8.0
"""Iris radius of the smallest real eye: scaled to a third it still has the smallest radius in training."""

HELD_OUT_OF, HELD_OUT = 4, 3
"""A sitter of the studio whose number leaves this remainder is kept aside."""

NOISE = 1.0
"""Noise in 8-bit levels that a finished picture has."""

OWN_SIGMA_PX = 0.45, 1.2
"""Own blur of a sharp photograph at the least and at the most, whatever an estimate says."""


@dataclass(frozen=True, slots=True, eq=False)
class RealEye:
    """`rgb` uint8 (m, n, 3) about an eye; iris `centre` (x, y) and `radius`; `sigma` that it has by its
    sharpest edges (edges.py); `sitter`: a number for each person.
    """

    rgb: NDArray[np.uint8]
    centre: tuple[float, float]
    radius: float
    sigma: float
    sitter: int


def real_eyes(real: Path) -> Iterator[RealEye]:
    """Eyes of the folder `real`: portraits with odd numbers that two raters call sharp, studio sitters."""
    for number, path in _photographs(real):
        picture = picture_of(jpeg_stream(path.read_bytes(), 1))
        boxes = find_boxes(picture)
        landmarks = landmarks_in(picture, boxes[0][0]) if boxes else None
        if landmarks is None:
            continue
        for region in eye_regions(picture.rgb, landmarks):
            if region is None or region.radius < LEAST_RADIUS_PX:
                continue
            energy = slope_energy(*without_highlights(region.grey, region.mask, region.radius))
            own = edge_sigma(energy, NOISE)
            if own is None:
                continue
            half = int(4.5 * region.radius) + 4
            x, y = region.left + region.centre[0], region.top + region.centre[1]
            left, top = max(0, int(x) - half), max(0, int(y) - half)
            yield RealEye(
                picture.rgb[top : int(y) + half, left : int(x) + half],
                (x - left, y - top),
                region.radius,
                float(np.clip(own, *OWN_SIGMA_PX)),
                number,
            )


def _photographs(real: Path) -> Iterator[tuple[int, Path]]:
    """A number for each person, and the file."""
    for number, line in enumerate((real / "portraits.jsonl").read_text().splitlines()):
        record = json.loads(line)
        sharp = record["rater1"]["sharp"] == record["rater2"]["sharp"] == "sharp"
        if number % 2 == 1 and sharp:
            yield 2000 + number, real / record["file"]
    for line in (real / "london.jsonl").read_text().splitlines():
        record = json.loads(line)
        if int(record["person"]) % HELD_OUT_OF != HELD_OUT:
            yield 3000 + int(record["person"]), real / record["file"]
