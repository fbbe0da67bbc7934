"""How much of the eyes is hidden by reflections on glasses."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_region import eye_regions, opening_mask, thinned
from eyeline.measuring.face_light import WHITE_LIMIT
from eyeline.terms.frame import Pixels
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

CATCHLIGHT_RADIUS = 0.4
"""Radius, in iris radii, of the largest blown-out spot that passes for a catchlight: a softbox that is as
large as it is far away shows in the cornea at about this size."""

LEAST_OPENING_PIXELS = 30
"""Pixels between the lids below which no share is told."""


def glare_share(rgb: NDArray[np.uint8], opening: NDArray[np.bool_], radius: float) -> float:
    """Share of `opening` (m, n) that is white in all channels of `rgb` (m, n, 3), catchlights left out."""
    white = np.asarray(cv2.inRange(rgb, np.full(3, WHITE_LIMIT), np.full(3, 255)))
    white[~opening] = 0
    if not white.any():
        return 0.0
    count, _labels, rows, _centres = cv2.connectedComponentsWithStats(white, connectivity=8)
    largest_catchlight = pi * (CATCHLIGHT_RADIUS * radius) ** 2
    hidden = sum(
        int(rows[label, cv2.CC_STAT_AREA])
        for label in range(1, count)
        if rows[label, cv2.CC_STAT_AREA] > largest_catchlight
    )
    return hidden / np.count_nonzero(opening)


def hidden_shares(rgb: Pixels, landmarks: NDArray[np.float32]) -> list[float]:
    """Share of each visible eye of the face with `landmarks` that reflections hide."""
    shares = []
    for eye in eye_regions(rgb, landmarks):
        if eye is None:
            continue
        eye = thinned(eye)
        opening = opening_mask(eye, landmarks)
        if np.count_nonzero(opening) >= LEAST_OPENING_PIXELS:
            shares.append(glare_share(eye.rgb, opening, eye.radius))
    return shares


def sitters_hidden_shares(subject: Subject) -> list[float]:
    """`hidden_shares` of the sitter: asked for by what is said of the gaze, and of the glasses."""
    sitter, rgb = subject.sitter, subject.picture.rgb
    return subject.picture.once((hidden_shares, sitter), lambda: hidden_shares(rgb, sitter.landmarks))


def measure_glare(subject: Subject) -> Sequence[Measurement]:
    """The worse eye."""
    name = MEASURE.quantities[0].name
    shares = sitters_hidden_shares(subject)
    if not shares:
        return [Measurement(name, None, "the eyes are too small, closed or outside the picture")]
    return [Measurement(name, max(shares))]


MEASURE = SitterMeasure(
    quantities=(
        Quantity("glasses_glare", "0 to 1", "share of the visible eye hidden by blown-out reflections"),
    ),
    function=measure_glare,
    source="common practice",
)
