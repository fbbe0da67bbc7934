"""Measurements made from the ground truth of rendered frames, as portraits/README.md maps the fields.

What has no field (highlights, copy space in numbers) is left out or follows from what the frame was
made to show, as said below.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np

from eyeline.measuring.framing import WHOLE, WORDS, framing, look_side
from eyeline.terms.measurement import Measurement, Value
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

EYES_OPEN = {"open": 0.98, "half": 0.05, "closed": 0.01}
"""Probabilities such as the measure gives: of 22 rendered half blinks all have less than 0.1."""
"""What a good estimator answers; the truth has the word only."""


def frames(path: Path) -> list[dict[str, Any]]:
    """The frames of a truth.jsonl."""
    return [json.loads(line) for line in path.read_text("utf-8").splitlines()]


def gaze_word(yaw: float, pitch: float, eyes: str) -> str:
    """The word of docs/measures.md from the true angles."""
    if eyes == "closed":
        return "closed"
    if abs(yaw) < 8 and abs(pitch) < 12:
        return "camera"
    if abs(yaw) / 8 >= abs(pitch) / 12:
        return "right" if yaw > 0 else "left"
    return "up" if pitch > 0 else "down"


def points_of(frame: dict[str, Any], person: dict[str, Any]) -> Points:
    """The sitter's points from the truth."""
    width, height = frame["width"], frame["height"]
    x0, _, x1, _ = person["head_box"]
    calm = []
    if "left" in frame["empty_sides"]:
        calm.append(Rectangle(0.0, 0.05, max(0.0, x0 / width - 0.05), 0.9))
    if "right" in frame["empty_sides"]:
        calm.append(Rectangle(x1 / width + 0.05, 0.05, max(0.0, 0.95 - x1 / width), 0.9))
    crown_cut = bool(person["crown_cut"])
    return Points(
        pupil_left=(person["pupil_left"][0] / width, person["pupil_left"][1] / height),
        pupil_right=(person["pupil_right"][0] / width, person["pupil_right"][1] / height),
        chin=(person["chin"][0] / width, person["chin"][1] / height),
        chin_cut=person["chin"][1] > height,
        crown_y=0.0 if crown_cut else person["hair_top_y"] / height,
        crown_cut=crown_cut,
        crown_missing=None,
        head_left=x0 / width,
        head_right=x1 / width,
        feet_in_frame=frame["kind"] == "full",
        calm=tuple(calm),
    )


def plain(name: str, value: np.float64 | np.int8) -> Value:
    """One value of `framing` as a Measurement holds it."""
    if name in WORDS:
        return WORDS[name][int(value)] if value >= 0 else None
    return None if np.isnan(value) else float(value)


def measured(frame: dict[str, Any], person: dict[str, Any]) -> dict[str, Measurement]:
    """The measurements that the truth implies for `person` in `frame`."""
    iris_px = person["iris_mm"] * person["focal_px"] / (1000 * person["camera_distance_m"])
    # A uniform streak of length m has a standard deviation of m / sqrt(12).
    sigma = (person["true_eye_blur_sigma_px"] ** 2 + frame["motion_px"] ** 2 / 12) ** 0.5
    word = gaze_word(person["gaze_yaw"], person["gaze_pitch"], person["eyes"])
    look = look_side(person["gaze_yaw"], person["head_yaw_los"])
    framed = framing(points_of(frame, person), WHOLE, frame["width"], frame["height"], look)
    values: dict[str, Value] = {name: plain(name, column[0]) for name, column in framed.items()}
    elevation = person["camera_pitch_deg"]
    values |= {
        "people": frame["people_count"],
        "head_yaw_deg": person["head_yaw_los"],
        "head_pitch_deg": person["head_pitch_los"],
        "head_roll_deg": person["head_roll"],
        "gaze_yaw_deg": person["gaze_yaw"],
        "gaze_pitch_deg": person["gaze_pitch"],
        "gaze": word,
        "gaze_confidence": 0.97,
        "eyes_open": EYES_OPEN[person["eyes"]],
        "eye_blur_px": sigma,
        "eye_blur_iris": sigma / iris_px,
        "motion_blur_px": float(frame["motion_px"]),
        "light_ratio_stops": person["light_ratio_stops_true"],
        "exposure_off_stops": frame["exposure_ev"],
        "camera_height": "high" if elevation < -8 else "low" if elevation > 8 else "level",
        "copy_space_contrast": 9.0 if frame["empty_sides"] else None,
    }
    return {
        name: Measurement(name, value, None if value is not None else "no truth for it")
        for name, value in values.items()
    }
