"""Frames of the bundled shoot beside their ground truth, decoded once a test run."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_network import sitters_eyes
from eyeline.measuring.points import sitter_points
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.look import look
from eyeline.reading.picture import reduced
from eyeline.terms.face import Seen
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Subject
from eyeline.terms.points import Points
from eyeline.terms.sitter import sitter_of
from tests.measuring.subjects import subject_of
from tests.reading.whole import whole_picture_of

SHOOT = Path(__file__).parents[2] / "shoot"

FEW = ("NL1_1002.jpg", "NL1_1014.jpg", "NL1_1031.jpg", "NL1_1043.jpg", "NL1_1051.jpg")
"""One frame of each sitter, on five different backgrounds."""


@cache
def truth() -> dict[str, dict[str, Any]]:
    records = (json.loads(line) for line in (SHOOT / "truth.jsonl").read_text().splitlines())
    return {record["file"]: record for record in records}


@cache
def picture_of(file: str) -> Picture:
    return whole_picture_of(jpeg_stream((SHOOT / file).read_bytes(), truth()[file]["orientation"]))


@cache
def seen_in(file: str) -> Seen:
    return look(picture_of(file))


@cache
def points_of(file: str) -> Points:
    picture, seen = picture_of(file), seen_in(file)
    points = sitter_points(picture, seen, sitters_eyes(picture, seen))
    assert points is not None, f"no sitter in {file}"
    return points


def painted(rgb: NDArray[np.uint8]) -> Picture:
    rgb = np.ascontiguousarray(rgb)
    return Picture(rgb, reduced(rgb))


def scaled(rgb: NDArray[np.uint8], scale: float) -> NDArray[np.uint8]:
    how = cv2.INTER_AREA if scale < 1 else cv2.INTER_CUBIC
    return np.asarray(cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=how))


def subject(picture: Picture, seen: Seen, points: Points) -> Subject:
    of = sitter_of(seen, sitters_eyes(picture, seen), points)
    assert of is not None
    return subject_of(picture, of, seen)
