"""The bundled shoot as the face mesh sees it, beside its ground truth; read once a test run."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_network import look_at_eyes
from eyeline.reading.finder import find_boxes
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.mesh import landmarks_in
from eyeline.terms.face import Face, Seen
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Subject
from tests.measuring.subjects import sitter, subject_of
from tests.reading.whole import whole_picture_of

SHOOT = Path(__file__).parents[2] / "shoot"


@dataclass(frozen=True, slots=True)
class Sitter:
    """A frame of the shoot, the sitter's landmarks in it, and the truth about the sitter."""

    file: str
    picture: Picture
    face: Face
    truth: dict[str, Any]

    @property
    def landmarks(self) -> NDArray[np.float32]:
        assert self.face.landmarks is not None
        return self.face.landmarks

    @property
    def subject(self) -> Subject:
        seen = Seen((self.face,), self.face, "", None, None)
        eyes = look_at_eyes(self.picture.rgb, self.landmarks)
        return subject_of(self.picture, sitter(self.face, eyes), seen)


@cache
def shoot_sitters() -> tuple[Sitter, ...]:
    """Every frame of the shoot; fails where a face is not found."""
    return tuple(_sitter(json.loads(line)) for line in (SHOOT / "truth.jsonl").read_text().splitlines())


def _sitter(record: dict[str, Any]) -> Sitter:
    picture = whole_picture_of(jpeg_stream((SHOOT / record["file"]).read_bytes(), record["orientation"]))
    box, score = find_boxes(picture)[0]
    return Sitter(record["file"], picture, Face(box, landmarks_in(picture, box), score), record["people"][0])
