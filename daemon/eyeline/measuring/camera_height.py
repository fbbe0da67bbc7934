"""Whether the camera looks at the sitter from below or from above."""

from __future__ import annotations

from collections.abc import Sequence

from eyeline.terms.measurement import FrameMeasure, FrameSubject, Measurement, Quantity

LEVEL_DEG = 8.0
"""Camera pitch up to which the camera counts as level (docs/measures.md, `camera_height`)."""


def word(camera_pitch_deg: float) -> str:
    """`low` when the camera looks up by more than `LEVEL_DEG`, `high` when it looks down by more."""
    if camera_pitch_deg > LEVEL_DEG:
        return "low"
    return "high" if camera_pitch_deg < -LEVEL_DEG else "level"


def _camera_height(subject: FrameSubject) -> Sequence[Measurement]:
    pitch = subject.frame.capture.camera_elevation_deg
    return [Measurement("camera_height", "unsure" if pitch is None else word(pitch))]


MEASURE = FrameMeasure(
    quantities=(
        Quantity(
            "camera_height",
            "word",
            "seen from below, at eye height, from above; unsure without evidence beyond the head",
            words=("low", "level", "high", "unsure"),
        ),
    ),
    function=_camera_height,
    source="EXIF 3.0 CameraElevationAngle; a border of 8°: common practice",
)
