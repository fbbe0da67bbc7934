"""The mouth: how far it is open, whether teeth show, and how far its corners are lifted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.covers import without_covered
from eyeline.measuring.face_shape import posture
from eyeline.pixels.picked import picked
from eyeline.terms.frame import Pixels
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject
from eyeline.terms.points import CHIN

CORNERS = (61, 291)
INNER_UPPER, INNER_LOWER = 13, 14
INNER_LIPS = (78, 191, 80, 81, 82, 13, 312, 311, 310, 415, 308, 324, 318, 402, 317, 14, 87, 178, 88, 95)
OUTER_LIPS = (61, 185, 40, 39, 37, 0, 267, 269, 270, 409, 291, 375, 321, 405, 314, 17, 84, 181, 91, 146)
"""Indices of mediapipe's mesh: corners, middle of the inner lips, and the two outlines."""

LEAST_OPENING = 0.04
"""Mouth opening below which the lips touch: closed mouths of rendered sitters stay under 0.054."""

LEAST_MOUTH_PX = 16
"""Mouth width in pixels below which teeth cannot be told from lips."""

SAMPLED_COLUMNS = 128
"""A mouth is sampled on this many columns or more, whatever the size of the file: a gap between the lips that
counts as open holds some hundred pixels then."""

TEETH_BRIGHTER, TEETH_BRIGHTER_GREY = 1.05, 1.25
"""Lightness of a tooth over the lips' own median, at the least; more without colour, where a wet lip looks
like a tooth. None of 250 rendered mouths, which have no teeth, shows any by these; without colour about
half of the real ones are missed."""

TEETH_LESS_RED = 5.0
"""How much less red (CIELAB a*) than the lips a tooth is, in a picture that has colour."""

TEETH_SHARE = 0.15
"""Share of the gap between the lips that has to look like teeth."""


def mouth_opening(landmarks: NDArray[np.float32]) -> float:
    """Distance of the inner lips over the mouth's width, in the head's own axes; 0 = lips together."""
    upright = posture(landmarks).upright
    width = np.linalg.norm(upright[CORNERS[0]] - upright[CORNERS[1]])
    return float(np.linalg.norm(upright[INNER_UPPER] - upright[INNER_LOWER]) / width)


def smile(landmarks: NDArray[np.float32]) -> float:
    """Height of the mouth's corners above the middle of the upper lip's inner edge, over the mouth's
    width, in the head's own axes. The upper lip stays where it is when the jaw drops.

    + = corners up. A shape, not a feeling.
    """
    upright = posture(landmarks).upright
    left, right = upright[list(CORNERS)]
    return float(((left + right) / 2 - upright[INNER_UPPER])[1] / np.linalg.norm(left - right))


def teeth_showing(rgb: Pixels, landmarks: NDArray[np.float32]) -> bool | None:
    """Whether teeth are seen between the lips; None where the mouth is too small or out of the frame.

    `rgb` (M, N, 3) is the picture that `landmarks` (478, 3) are pixels of.
    """
    sampled = _sampled(rgb, landmarks[list(OUTER_LIPS), :2])
    if sampled is None or sampled.rgb.shape[1] < LEAST_MOUTH_PX:
        return None
    if mouth_opening(landmarks) < LEAST_OPENING:
        return False
    inner = sampled.within(landmarks[list(INNER_LIPS), :2])
    lips = sampled.within(landmarks[list(OUTER_LIPS), :2]) & ~inner
    if not inner.any() or not lips.any():
        return False
    gap, about = (_lightness_and_redness(sampled.rgb[part]) for part in (inner, lips))
    lightness, redness = np.median(about[0]), np.median(about[1])
    if redness > TEETH_LESS_RED:
        like_teeth = gap[0] >= TEETH_BRIGHTER * lightness
        like_teeth &= gap[1] <= redness - TEETH_LESS_RED
    else:
        like_teeth = gap[0] >= TEETH_BRIGHTER_GREY * lightness
    return bool(like_teeth.mean() >= TEETH_SHARE)


def between_lips(rgb: Pixels, landmarks: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Sampled pixels (n, 3) within the inner edge of the lips; none where that is not all in the picture."""
    outline = landmarks[list(INNER_LIPS), :2]
    sampled = _sampled(rgb, outline)
    return np.zeros((0, 3), np.uint8) if sampled is None else sampled.rgb[sampled.within(outline)]


@dataclass(frozen=True, slots=True, eq=False)
class _Sampled:
    """`rgb` (m, n, 3): every `step`-th pixel of every `step`-th row, the first at `corner` (x, y)."""

    rgb: NDArray[np.uint8]
    corner: NDArray[np.float32]
    step: int

    def within(self, outline: NDArray[np.float32]) -> NDArray[np.bool_]:
        """What of `rgb` lies in the `outline` (k, 2), in pixels of the picture, (m, n)."""
        mask = np.zeros(self.rgb.shape[:2], np.uint8)
        cv2.fillPoly(mask, [np.round((outline - self.corner) / self.step).astype(np.int32)], (1,))
        return mask.astype(bool)


def _sampled(rgb: Pixels, outline: NDArray[np.float32]) -> _Sampled | None:
    """The part of the picture about an `outline` (k, 2); None where that is not wholly in the picture.

    Pixels are picked, not averaged: averaging would hide white ones.
    """
    left, top = np.floor(outline.min(axis=0)).astype(int)
    right, bottom = np.ceil(outline.max(axis=0)).astype(int) + 1
    height, width = rgb.shape[:2]
    if left < 0 or top < 0 or right > width or bottom > height:
        return None
    step = max(1, (right - left) // SAMPLED_COLUMNS)
    corner = np.array([left, top], np.float32)
    return _Sampled(picked(rgb[top:bottom, left:right], int(step)), corner, int(step))


def _lightness_and_redness(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """CIELAB L* and a* (2, n) of pixels (n, 3)."""
    lab = cv2.cvtColor(rgb[None].astype(np.float32) / 255, cv2.COLOR_RGB2LAB)[0]
    return np.asarray(lab[:, :2].T, np.float32)


def measure_mouth(subject: Subject) -> Sequence[Measurement]:
    """Opening, teeth and smile."""
    sitter = subject.sitter
    teeth = teeth_showing(subject.picture.rgb, sitter.landmarks)
    taken = [
        Measurement("mouth_opening", round(mouth_opening(sitter.landmarks), 4)),
        Measurement("teeth_showing", teeth)
        if teeth is not None
        else Measurement("teeth_showing", None, "the mouth is too small or cut by the frame"),
        Measurement("smile", round(smile(sitter.landmarks), 4)),
    ]
    return without_covered(
        taken, sitter.points.covered, dict.fromkeys((each.name for each in taken), (CHIN,))
    )


MEASURE = SitterMeasure(
    quantities=(
        Quantity("mouth_opening", "ratio", "distance of the inner lips over the mouth's width"),
        Quantity("teeth_showing", "true or false", "teeth are seen between the lips"),
        Quantity(
            "smile", "signed ratio", "lift of the mouth's corners over its width; a shape, not a feeling"
        ),
    ),
    function=measure_mouth,
    source="common practice: ratios of lip landmarks",
)
