"""What a look at the sitter's eyes says of them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EyesSeen:
    """What the networks say in the mean, before calibration.

    Angles in degrees with the contract's signs; `..._error_deg` are their own standard deviations. Pairs
    are the frame's left, right. `irises`: centres (x, y) in pixels of the picture. `openings`: lid gap
    over eye width. `between_px`: pixels between the pupils as if the head faced the lens. `aperture`: 0 =
    shut, 1 = as far open as at rest. `iris_visible`: share of the more visible iris. `open_score`,
    `closed_score`: log odds that both eyes are open, that they are shut.
    """

    gaze_yaw_deg: float
    gaze_pitch_deg: float
    gaze_yaw_error_deg: float
    gaze_pitch_error_deg: float
    irises: tuple[tuple[float, float], tuple[float, float]]
    openings: tuple[float, float]
    between_px: float
    aperture: float
    iris_visible: float
    open_score: float
    closed_score: float
