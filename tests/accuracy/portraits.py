"""Portraits with ground truth: the bundled shoot always, further rendered sets where they are at hand.

The further sets lie in a folder named by EYELINE_SHARED, else in `shared` beside the checkout; each
is described by the README of that folder. Nothing is ever fitted on `truth` or `tones`.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass, field
from math import hypot
from pathlib import Path
from typing import Any

from tests.judging.truth import gaze_word

CHECKOUT = Path(__file__).resolve().parents[2]
SHOOT = CHECKOUT / "shoot"
SHARED = Path(os.environ.get("EYELINE_SHARED", CHECKOUT.parent / "shared"))

UNDECIDED_SIDE_DEG, UNDECIDED_UP_DEG = (6.0, 10.0), (10.0, 14.0)
"""Bands about the borders in which the accuracy of the word is not stated."""


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
