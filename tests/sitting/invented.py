"""Shots for tests: one sitter before a grey paper, as if measured, and what a test changes about it."""

from __future__ import annotations

from datetime import datetime, timedelta

from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Measurement, Value

START = datetime(2026, 9, 14, 10, 0, 0)
PORTRAIT: dict[str, Value] = {
    "people": 1,
    "frame_format": "portrait",
    "head_yaw_deg": 8.0,
    "head_pitch_deg": -3.0,
    "head_roll_deg": 1.0,
    "gaze": "camera",
    "gaze_yaw_deg": 0.0,
    "gaze_pitch_deg": 0.0,
    "eyes_open": 0.98,
    "eye_blur_iris": 0.012,
    "eye_x": 0.5,
    "eye_line": 0.36,
    "eye_to_chin": 0.17,
    "face_luminance": 0.3,
    "background_lightness": 80.0,
    "background_a": 1.0,
    "background_b": -0.5,
    "clothes_lightness": 36.0,
    "clothes_a": -9.0,
    "clothes_b": -4.0,
    "picture_hash": "0f0f0f0f0f0f0f0f",
}


def shot(
    number: int,
    seconds: float | None,
    folder: str = "card",
    serial: str | None = "1001",
    sitting: str | None = None,
    **changed: Value,
) -> Shot:
    """Frame `number` taken so many seconds after ten; a measure that is changed to None is missing."""
    taken_at = (
        None if seconds is None else (START + timedelta(seconds=seconds)).isoformat(timespec="milliseconds")
    )
    measurements = {
        name: Measurement(name, value, None if value is not None else "not seen")
        for name, value in (PORTRAIT | changed).items()
    }
    return Shot(f"A_{number}.jpg", folder, taken_at, serial, measurements, None, sitting)


def darker(stops: float) -> dict[str, Value]:
    """The same portrait under less light (+ = darker): luminance halves, L* + 16, a*, b* shrink alike."""
    cube_root = 2.0 ** (-stops / 3)
    changed: dict[str, Value] = {"face_luminance": 0.3 * 2.0**-stops}
    for what in ("background", "clothes"):
        lightness, a, b = (float(PORTRAIT[f"{what}_{axis}"] or 0) for axis in ("lightness", "a", "b"))
        changed |= {
            f"{what}_lightness": (lightness + 16) * cube_root - 16,
            f"{what}_a": a * cube_root,
            f"{what}_b": b * cube_root,
        }
    return changed


def no_face(number: int, seconds: float) -> Shot:
    """A slate."""
    return shot(
        number,
        seconds,
        people=0,
        **{name: None for name in PORTRAIT if name not in ("people", "picture_hash")},
    )
