"""How far the sitter is from the camera."""

from __future__ import annotations

from collections.abc import Sequence

from eyeline.measuring.pupils import pupils
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

IRIS_MM = 11.7
"""Horizontal iris diameter: 11.7 ± 0.5 mm across people, so the distance is good to ± 4.3 % at best
(docs/measures.md; the iris model's authors state errors below 10 %)."""

FULL_FRAME_LONG_SIDE_MM = 36.0
"""Long side of the frame that 35 mm equivalents refer to (EXIF 3.0, FocalLengthIn35mmFilm). Makers of
4:3 sensors compare diagonals instead: there the distance reads 4 % short, within the iris's own spread."""

OPEN_FROM = 0.5
"""Probability of open eyes from which the iris shows its width."""

MOST_TURN_DEG = 30.0
"""Yaw up to which the mesh knows that width: beyond, it reads a fifth too narrow on the rendered crowd, as it
does on eyes that are not open; short of both 95 in 100 distances are good to 17 %, half of them to 5 %."""

LEAST_IRIS_PX = 6.0
"""Iris diameter below which half a pixel makes more than 8 % of the distance."""


def distance_m(iris_px: float, focal_px: float) -> float:
    """Metres from the lens to an iris `iris_px` wide, under a focal length of `focal_px` pixels."""
    return focal_px * IRIS_MM / iris_px / 1000.0


def focal_px(focal_length_35mm: float, width_px: int, height_px: int) -> float:
    """Focal length in pixels of the file, taking its long side for that of the whole sensor: a file
    cropped there reads too near by as much as it was cropped.
    """
    return focal_length_35mm * max(width_px, height_px) / FULL_FRAME_LONG_SIDE_MM


def _distance(subject: Subject) -> Sequence[Measurement]:
    name = "subject_distance_m"
    focal = subject.frame.capture.focal_length_35mm
    if not focal or focal <= 0:
        return [Measurement(name, None, "the file does not give the focal length in 35 mm terms")]
    hidden = _hidden(subject)
    if hidden:
        return [Measurement(name, None, hidden)]
    irises = pupils(subject.sitter.landmarks)
    diameter = 2 * max(irises.left_radius_px, irises.right_radius_px)
    if diameter < LEAST_IRIS_PX:
        return [Measurement(name, None, f"the iris is only {diameter:.1f} pixels wide")]
    pixels = focal_px(focal, subject.frame.width, subject.frame.height)
    return [Measurement(name, distance_m(diameter, pixels))]


def _hidden(subject: Subject) -> str | None:
    """Why the iris does not show its width, if it does not."""
    opened, yaw = (
        None if (taken := subject.known.get(name)) is None else taken.value
        for name in ("eyes_open", "head_yaw_deg")
    )
    if isinstance(opened, int | float) and opened < OPEN_FROM:
        return "the lids hide the width of the iris"
    if isinstance(yaw, int | float) and abs(yaw) > MOST_TURN_DEG:
        return "the head is turned so far that the iris does not show its width"
    return None


MEASURE = SitterMeasure(
    quantities=(Quantity("subject_distance_m", "metres", "camera to the sitter's eyes"),),
    function=_distance,
    source="pinhole geometry with the mean iris diameter, 11.7 ± 0.5 mm",
    needs=("eyes_open", "head_yaw_deg"),
)
