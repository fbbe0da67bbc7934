"""How sharp the eyes are."""

from __future__ import annotations

from collections.abc import Sequence

from eyeline.measuring.edges import edge_sigma, slope_energy
from eyeline.measuring.eye_region import EyeRegion, eye_regions
from eyeline.measuring.noise import skin_noise
from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject

LEAST_RADIUS_PX = 3.0
"""Iris radius below which lids and lashes are closer than the blur that is to be told."""


def eye_sigma(eye: EyeRegion, noise: float) -> float | None:
    """Estimated Gaussian sigma at one eye, pixels; None where no edge is above the noise."""
    return edge_sigma(slope_energy(eye.grey, eye.mask), noise)


def measure_eye_blur(subject: Subject) -> Sequence[Measurement]:
    """Sigma at the sharper and at the other eye, and the sharper one in iris diameters."""
    near, far, relative = (quantity.name for quantity in MEASURE.quantities)
    sitter = subject.seen.sitter
    if sitter is None or sitter.landmarks is None:
        return [
            Measurement(name, None, "no landmarks were found in the sitter's face")
            for name in (near, far, relative)
        ]
    eyes = [
        eye
        for eye in eye_regions(subject.picture.rgb, sitter.landmarks)
        if eye is not None and eye.radius >= LEAST_RADIUS_PX
    ]
    noise = skin_noise(subject.picture.rgb, sitter.landmarks) or 0.0
    sigmas = sorted((sigma, eye.radius) for eye in eyes if (sigma := eye_sigma(eye, noise)) is not None)
    if not sigmas:
        reason = "the eyes show no edge above the noise" if eyes else "the eyes are too small or outside"
        return [Measurement(name, None, reason) for name in (near, far, relative)]
    sigma, radius = sigmas[0]
    other = (
        Measurement(far, sigmas[1][0])
        if len(sigmas) == 2
        else Measurement(far, None, "only one eye can be measured")
    )
    return [Measurement(near, sigma), other, Measurement(relative, sigma / (2 * radius))]


MEASURE = Measure(
    quantities=(
        Quantity("eye_blur_px", "pixels of the full-size file", "Gaussian sigma at the sharper eye"),
        Quantity("eye_blur_far_px", "pixels of the full-size file", "the same at the other eye"),
        Quantity("eye_blur_iris", "fraction of iris diameter", "blur that does not depend on resolution"),
    ),
    function=measure_eye_blur,
    source="re-blur ratio of slopes (Zhuo & Sim, Pattern Recognition 44, 2011)",
)
