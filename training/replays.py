"""What a network answered in training, kept for a test that the package answers the same.

A training script and the package each have the network's forward pass. The arrays written here are inputs
from the bundled shoot and what the training script's own pass makes of them with the weights as they are
stored; tests/measuring/test_replays.py asks the package for the same.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from eyeline.reading.finder import find_boxes
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.mesh import landmarks_in
from eyeline.reading.picture import picture_of
from eyeline.terms.frame import Picture

ROOT = Path(__file__).parents[1]
REPLAYS = ROOT / "tests/measuring/replays"
FRAMES = ("NL1_1002.jpg", "NL1_1014.jpg", "NL1_1031.jpg", "NL1_1043.jpg", "NL1_1051.jpg")
"""One frame of each sitter of the bundled shoot."""


def keep(name: str, **arrays: NDArray[np.generic]) -> None:
    """Write `arrays` as the replay `name`."""
    REPLAYS.mkdir(exist_ok=True)
    np.savez_compressed(REPLAYS / f"{name}.npz", **arrays)  # type: ignore[arg-type]


def shoot_faces() -> list[tuple[Picture, NDArray[np.float32]]]:
    """The pictures of FRAMES with the landmarks (478, 3) of their sitters."""
    truth = (ROOT / "shoot/truth.jsonl").read_text().splitlines()
    orientations = {record["file"]: record["orientation"] for record in map(json.loads, truth)}
    faces = []
    for file in FRAMES:
        stored = (ROOT / "shoot" / file).read_bytes()
        picture = picture_of(jpeg_stream(stored, orientations[file]))
        landmarks = landmarks_in(picture, find_boxes(picture)[0][0])
        assert landmarks is not None, file
        faces.append((picture, landmarks))
    return faces
