"""Portraits with ground truth: the bundled shoot always, further rendered sets where they are at hand.

The further sets lie in a folder named by EYELINE_SHARED, else in `shared` beside the checkout; each
is described by the README of that folder. Nothing is ever fitted on `truth` or `tones`.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass, field
from math import asin, cos, degrees, hypot, radians, sin
from pathlib import Path
from typing import Any

from tests.judging.truth import gaze_word

CHECKOUT = Path(__file__).resolve().parents[2]
SHOOT = CHECKOUT / "shoot"
SHARED = Path(os.environ.get("EYELINE_SHARED", CHECKOUT.parent / "shared"))

UNDECIDED_SIDE_DEG, UNDECIDED_UP_DEG = (6.0, 10.0), (10.0, 14.0)
"""Bands about the borders in which the accuracy of the word is not stated."""

BALL_MM, CORNERS_MM = 12.1, 7.8
"""How far a rendered iris moves in a rendered face per sine of the gaze, and the eye's corners per sine of
the head's turn, by the crowd's own meshes at 63 mm between the pupils: its iris lies on the ball's
surface."""

PEOPLES_BALL_MM, PEOPLES_CORNERS_MM = 9.7, 6.3
"""The same in people: textbook eyes rotate 13 to 13.5 mm behind the front of the cornea, the rim of the iris
lies 3.6 mm behind it; the corners lie 6.3 mm before the centre of rotation."""


@dataclass(frozen=True)
class Person:
    """One rendered person of one frame, with the truth's own field names in `truth`."""

    truth: dict[str, Any]

    def __getattr__(self, name: str) -> Any:
        return self.truth[name]

    @property
    def eyes_middle(self) -> tuple[float, float]:
        left, right = self.pupil_left, self.pupil_right
        return (left[0] + right[0]) / 2, (left[1] + right[1]) / 2

    @property
    def interpupillary_px(self) -> float:
        return hypot(self.pupil_right[0] - self.pupil_left[0], self.pupil_right[1] - self.pupil_left[1])

    @property
    def iris_diameter_px(self) -> float:
        return float(self.iris_mm * self.focal_px / (1000 * self.camera_distance_m))

    @property
    def iris_is_seen(self) -> bool:
        return max(self.iris_visible) >= 0.35

    @property
    def gaze_yaw(self) -> float:
        """Degrees: where a person looks whose irises lie as those of this render."""
        return self._look[0]

    @property
    def gaze_pitch(self) -> float:
        """Degrees: where a person looks whose irises lie as those of this render."""
        return self._look[1]

    @property
    def _look(self) -> tuple[float, float]:
        yaw, pitch = self.truth["gaze_yaw"], self.truth["gaze_pitch"]
        if "head_yaw_los" not in self.truth:  # a photograph: its irises lie as people's do
            return yaw, pitch
        return as_peoples(yaw, pitch, self.truth["head_yaw_los"], self.truth["head_pitch_los"])

    @property
    def gaze_word(self) -> str:
        """The word that the true angles give, with the borders of the contract of measures."""
        return gaze_word(self.gaze_yaw, self.gaze_pitch, "open")

    @property
    def gaze_is_on_a_border(self) -> bool:
        low, high = UNDECIDED_SIDE_DEG
        if low <= abs(self.gaze_yaw) <= high:
            return True
        low, high = UNDECIDED_UP_DEG
        return low <= abs(self.gaze_pitch) <= high


def as_peoples(yaw: float, pitch: float, head_yaw: float, head_pitch: float) -> tuple[float, float]:
    """The look in degrees of a person whose irises lie as in a render with these true angles. Renders turn
    their eyes by larger balls: what is right for people would call their looks larger than they are.
    """
    look, head = ((radians(a), radians(b)) for a, b in ((yaw, pitch), (head_yaw, head_pitch)))
    across, up = (
        (BALL_MM * gaze - (CORNERS_MM - PEOPLES_CORNERS_MM) * turn) / PEOPLES_BALL_MM
        for gaze, turn in ((sin(look[0]) * cos(look[1]), sin(head[0])), (sin(look[1]), sin(head[1])))
    )
    height = asin(max(-1.0, min(1.0, up)))
    return degrees(asin(max(-1.0, min(1.0, across / cos(height))))), degrees(height)


@dataclass(frozen=True)
class Portrait:
    """One frame with its truth."""

    path: Path
    set_name: str
    truth: dict[str, Any] = field(compare=False)

    @property
    def people(self) -> list[Person]:
        return [Person(person) for person in self.truth["people"]]

    def nearest(self, x_px: float, y_px: float) -> tuple[Person, float]:
        """The person whose eyes are nearest, and how far off, in that person's eye distances."""
        distances = [
            (hypot(person.eyes_middle[0] - x_px, person.eyes_middle[1] - y_px) / person.interpupillary_px, i)
            for i, person in enumerate(self.people)
        ]
        distance, index = min(distances)
        return self.people[index], distance


def shoot() -> list[Portrait]:
    """The bundled shoot."""
    return load(SHOOT, "shoot")


def shared_set(name: str) -> list[Portrait]:
    """A further rendered set ("truth", "tones", "crowd"); empty where it is not at hand."""
    return load(SHARED / "portraits" / name, name)


def shared_photographs() -> list[tuple[Path, dict[str, Any]]]:
    """Small real portraits with what is assumed of them; empty where they are not at hand."""
    manifest = SHARED / "photographs" / "manifest.jsonl"
    if not manifest.is_file():
        return []
    rows = [json.loads(line) for line in manifest.read_text().splitlines()]
    return [(manifest.parent / row["file"], row) for row in rows]


def load(folder: Path, set_name: str) -> list[Portrait]:
    """The rendered set in `folder`; empty where there is none."""
    truth = folder / "truth.jsonl"
    if not truth.is_file():
        return []
    rows = [json.loads(line) for line in truth.read_text().splitlines()]
    return [Portrait(folder / row["file"], set_name, row) for row in rows]
