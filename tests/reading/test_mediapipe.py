"""eyeline's graph around the face models answers as mediapipe 0.10.21 does.

The record is mediapipe's own, of every fourth frame of the bundled shoot; mediapipe_record.py says how it
came about, against_mediapipe.py compares any other pictures in the same way.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from tests.reading.against_mediapipe import Differences, differences

SHOOT = Path(__file__).parents[2] / "shoot"
RECORD = Path(__file__).with_name("mediapipe_shoot.npz")


@cache
def found() -> Differences:
    return differences(RECORD, sorted(SHOOT.glob("*.jpg"))[::4])


def test_both_see_the_same_faces_and_meshes() -> None:
    assert (found().other_faces, found().other_meshes) == ([], [])
    assert len(found().face_px) == len(found().landmark_px) == 16


def test_boxes_and_their_points_lie_within_a_tenth_of_the_detectors_pixel() -> None:
    assert max(found().face_px) < 0.1


def test_every_landmark_lies_within_a_tenth_of_the_meshs_pixel() -> None:
    assert max(found().landmark_px) < 0.1


def test_silhouettes_are_the_same_within_a_grey_level() -> None:
    assert np.max(found().grey_levels) < 1
