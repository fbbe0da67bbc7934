"""A known blur over a sharp real eye must add in squares."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps
from scipy.ndimage import gaussian_filter

from eyeline.measuring.eye_blur import eye_blurs, sharper_and_softer
from eyeline.measuring.srgb import decode, encode
from eyeline.reading.look import look
from eyeline.reading.picture import reduced
from eyeline.terms.frame import Picture
from tests.accuracy.figures.row import Row
from tests.accuracy.real.measured import Measured, share

SIGMAS_PX = (1.0, 2.0, 3.0, 4.0)

MOST_IRIS = 0.35
"""Blur laid over an eye at the most, in iris radii: beyond little of it is left."""

WITHIN_SHARE, WITHIN_PX = 0.2, 0.3

SHARP_BELOW = 1.2
"""Own blur in pixels up to which a photograph is a start for known blurs; the studio's have no such label."""

MARGIN_PX = 30


def blur_rows(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """Blurred in linear light by SciPy's Gaussian, measured with the landmarks of the sharp picture."""
    errors, due = _errors(photographs)
    if not len(errors):
        return []
    within = int((np.abs(errors) <= np.maximum(WITHIN_SHARE * due, WITHIN_PX)).sum())
    return [
        Row(
            f"{name}: a known blur adds in squares, within 20 % or 0.3 px",
            len(errors),
            None,
            f"{share(within, len(errors))}; off by {np.median(errors):+.2f} px in the median",
            "≥ 90 %",
            within / len(errors) >= 0.9,
        )
    ]


def _errors(photographs: Sequence[Measured]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Pixels that each measured sigma lies off what is due, and what is due."""
    errors, all_due = [], []
    for each in photographs:
        if each.photograph.labels.get("sharp", "sharp") != "sharp":
            continue
        with Image.open(each.photograph.path) as opened:
            rgb = np.asarray(ImageOps.exif_transpose(opened).convert("RGB"))
        picture = Picture(rgb, reduced(rgb))
        sitter = look(picture).sitter
        if sitter is None or sitter.landmarks is None:
            continue
        landmarks = sitter.landmarks
        left, top = np.maximum(landmarks[:468, :2].min(axis=0).astype(int) - MARGIN_PX, 0)
        right, bottom = landmarks[:468, :2].max(axis=0).astype(int) + MARGIN_PX
        face = np.ascontiguousarray(rgb[top:bottom, left:right])
        here = landmarks - np.array([left, top, 0], np.float32)
        own = _sigma(face, here)
        if own is None or own[0] > SHARP_BELOW:
            continue
        light = decode(face)
        for sigma in SIGMAS_PX:
            if sigma > MOST_IRIS * own[1]:
                continue
            blurred = np.rint(encode(gaussian_filter(light, (sigma, sigma, 0)))).astype(np.uint8)
            found = _sigma(blurred, here)
            due = hypot(own[0], sigma)
            errors.append((found[0] if found else 0.0) - due)
            all_due.append(due)
    return np.array(errors), np.array(all_due)


def _sigma(rgb: NDArray[np.uint8], landmarks: NDArray[np.float32]) -> tuple[float, float] | None:
    """Sigma at the sharper eye and radius of the larger iris, pixels; None where no eye can be measured."""
    eyes = eye_blurs(Picture(rgb, rgb), landmarks)
    if not eyes:
        return None
    sigmas = [eye.blur.sigma_px for eye in eyes]
    sharper = sigmas[0] if len(sigmas) == 1 else sharper_and_softer(*sigmas)[0]
    return sharper, max(eye.radius for eye in eyes)
