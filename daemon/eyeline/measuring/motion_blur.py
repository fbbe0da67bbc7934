"""Whether the blur has a direction, as motion has and defocus has not."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees, sqrt

import numpy as np

from eyeline.measuring.edges import DIRECTIONS, edge_sigma, slope_energy
from eyeline.measuring.eye_blur import LEAST_RADIUS_PX
from eyeline.measuring.eye_region import EyeRegion, eye_regions
from eyeline.measuring.noise import skin_noise
from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject

STREAK_VARIANCE = 1 / 12
"""Variance of a uniform streak, in its length squared."""


def direction_sigmas(eye: EyeRegion, noise: float) -> list[float | None]:
    """Sigma along each of `edges.DIRECTIONS`, pixels."""
    energy = slope_energy(eye.grey, eye.mask)
    return [edge_sigma(energy, noise, 1 + number) for number in range(len(DIRECTIONS))]


def streak(variances: Sequence[float]) -> tuple[float, float]:
    """Length in pixels and direction in degrees, 0 to 180, of the streak behind directional `variances`.

    A streak of length L at angle φ adds L²/12 · cos²(θ − φ) to the variance in direction θ: the first
    harmonic of the variances over the half turn has the amplitude L²/24.
    """
    rows, columns, falling, rising = variances
    across, down = (rows - columns) / 2, (falling - rising) / 2
    amplitude = sqrt(across**2 + down**2)
    return sqrt(2 * amplitude / STREAK_VARIANCE), degrees(atan2(down, across)) / 2 % 180.0


def measure_motion_blur(subject: Subject) -> Sequence[Measurement]:
    """Streak over both eyes."""
    names = [quantity.name for quantity in MEASURE.quantities]
    sitter = subject.seen.sitter
    if sitter is None or sitter.landmarks is None:
        return [Measurement(name, None, "no landmarks were found in the sitter's face") for name in names]
    noise = skin_noise(subject.picture.rgb, sitter.landmarks) or 0.0
    both = [
        sigmas
        for eye in eye_regions(subject.picture.rgb, sitter.landmarks)
        if eye is not None
        and eye.radius >= LEAST_RADIUS_PX
        and None not in (sigmas := direction_sigmas(eye, noise))
    ]
    if not both:
        reason = "the eyes are too small or show no edges in every direction"
        return [Measurement(name, None, reason) for name in names]
    variances = np.mean(np.square(np.array(both, np.float64)), axis=0)
    length, direction = streak(variances.tolist())
    return [Measurement(names[0], length), Measurement(names[1], direction)]


MEASURE = Measure(
    quantities=(
        Quantity("motion_blur_px", "pixels of the full-size file", "length of the streak at the eyes"),
        Quantity("motion_direction_deg", "degrees", "0 = along the rows, + = clockwise, 0 to 180"),
    ),
    function=measure_motion_blur,
    source="second moments of the blur by direction",
)
