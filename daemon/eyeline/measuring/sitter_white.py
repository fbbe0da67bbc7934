"""The brightest of the sitter: what is white whatever the skin, and the lights of the skin itself.

A face says little of an exposure, since skins differ by three stops. The whites of the eyes and teeth differ
by less, a collar is often white, and a light skin that is bright proves the light as well. The brightest of
them all tells how much light reached the picture; a wall or a window behind the sitter does not count.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_region import EyeRegion, eye_regions, opening_mask, thinned
from eyeline.measuring.mouth import LEAST_OPENING, between_lips, mouth_opening
from eyeline.measuring.pupils import with_irises
from eyeline.measuring.quantile import quantile
from eyeline.measuring.srgb import luminance
from eyeline.pixels.picked import picked
from eyeline.terms.frame import Picture
from eyeline.terms.sitter import Sitter

Light = NDArray[np.float32]

IRIS_RADII = 1.1
"""Radius about the iris's centre, in iris radii, within which nothing counts as white of the eye: its rim is
soft, and a catchlight lies there."""

BRIGHTER_THAN = 0.90, 0.90, 0.95, 0.95
"""Quantile that stands for the whites of an eye, the teeth, the skin and the clothes: lids shade half an
eye, lips and gaps half of what lies between them; of skin and clothes one part in twenty may shine."""

LEAST_PIXELS = 12
"""Pixels below which a quantile says nothing."""

NECK = 0.2
"""Clothes begin below the chin by this share of the distance from eyes to chin."""

CHEST = 1.6
"""They are looked at down to here, in the same unit: a collar and the upper chest, lit as the face is."""

BESIDE = 0.3
"""And as far to the side of the head, in head widths: what lies farther is often lit otherwise."""

LEAST_PERSON = 0.7
"""Silhouette probability from which a pixel there is clothes."""

STRIDE = 2
"""Every so many rows and columns of the reduced picture are looked at: some thousands of pixels."""


def sitter_white(picture: Picture, sitter: Sitter, skin: Light) -> float:
    """Relative luminance, 0 to 1, of the brightest of eyes, teeth, clothes and `skin` (n,), n > 0."""
    eyes = [_white_of_eye(eye, sitter) for eye in _eyes(picture, sitter)]
    parts = [*((eye, BRIGHTER_THAN[0]) for eye in eyes)]
    parts += [(_between_lips(picture, sitter), BRIGHTER_THAN[1]), (skin, BRIGHTER_THAN[2])]
    parts += [(_clothes(picture, sitter), BRIGHTER_THAN[3])]
    return max(quantile(light, share) for light, share in parts if light.size >= LEAST_PIXELS)


def _eyes(picture: Picture, sitter: Sitter) -> list[EyeRegion]:
    landmarks = with_irises(sitter.landmarks, sitter.eyes.irises)
    found = eye_regions(picture.rgb, landmarks, sitter.points.covered)
    return [thinned(eye) for eye in found if eye is not None]


def _white_of_eye(eye: EyeRegion, sitter: Sitter) -> Light:
    """Light (n,) between the lids and outside the iris."""
    rows, columns = np.ogrid[: eye.rgb.shape[0], : eye.rgb.shape[1]]
    away2 = (columns + 0.5 - eye.centre[0]) ** 2 + (rows + 0.5 - eye.centre[1]) ** 2
    return luminance(eye.rgb)[opening_mask(eye, sitter.landmarks) & (away2 > (IRIS_RADII * eye.radius) ** 2)]


def _between_lips(picture: Picture, sitter: Sitter) -> Light:
    """Light (n,) of what an open mouth shows."""
    if mouth_opening(sitter.landmarks) < LEAST_OPENING:
        return np.zeros(0, np.float32)
    return luminance(between_lips(picture.rgb, sitter.landmarks))


def _clothes(picture: Picture, sitter: Sitter) -> Light:
    """Light (n,) of collar and chest."""
    points = sitter.points
    height, width = (-(-side // STRIDE) for side in picture.reduced.shape[:2])
    below, beside = points.chin[1] - points.eye_y, BESIDE * (points.head_right - points.head_left)
    top, bottom = (int(max(0.0, points.chin[1] + way * below) * height) for way in (NECK, CHEST))
    left = int(max(0.0, points.head_left - beside) * width)
    right = int(max(0.0, points.head_right + beside) * width)
    person = cv2.resize(sitter.body.probability, (width, height), interpolation=cv2.INTER_LINEAR)
    area = picture.reduced[STRIDE * top : STRIDE * bottom, STRIDE * left : STRIDE * right]
    # All of them are turned into light, since picking single pixels of three channels takes longer.
    return luminance(picked(area, STRIDE))[person[top:bottom, left:right] > LEAST_PERSON]
