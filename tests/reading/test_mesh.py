"""Landmarks follow the face: moved, enlarged, turned."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from eyeline.reading.detector import SHORT_RANGE, Detection
from eyeline.reading.mesh import FARTHEST, FEATURES, LEAST_SCORE, REGION_FACES, agree, landmarks_of, upright
from tests.reading.shoot_pictures import FEW, picture_of, truth


def face_of(file: str, turn_deg: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """A square of 480 pixels about the face, turned clockwise, and where the true pupils are in it."""
    person = truth()[file]["people"][0]
    pupils = np.array([person["pupil_left"], person["pupil_right"]])
    scale = 480 / (2.6 * (person["head_box"][3] - person["head_box"][1]))
    middle = pupils.mean(axis=0)
    matrix = cv2.getRotationMatrix2D(tuple(middle), -turn_deg, scale)
    matrix[:, 2] += 240 - middle
    rgb = cv2.warpAffine(picture_of(file).rgb, matrix, (480, 480), borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(rgb), pupils @ matrix[:, :2].T + matrix[:, 2]


@pytest.mark.parametrize("turn_deg", [0.0, 25.0, -40.0])
@pytest.mark.parametrize("file", FEW)
def test_irises_lie_on_the_true_pupils_however_the_head_is_turned(file: str, turn_deg: float) -> None:
    rgb, pupils = face_of(file, turn_deg)
    found = landmarks_of(rgb)
    assert found is not None
    assert found.shape == (478, 3)
    eye_distance = np.linalg.norm(pupils[1] - pupils[0])
    assert np.linalg.norm(found[[468, 473], :2] - pupils, axis=1).max() < 0.12 * eye_distance


def test_the_nose_is_nearer_than_the_cheeks() -> None:
    found = landmarks_of(face_of(FEW[0])[0])
    assert found is not None
    assert found[1, 2] < found[[234, 454], 2].min() < found[[234, 454], 2].max()


def test_where_there_is_no_face_there_are_no_landmarks() -> None:
    assert landmarks_of(np.full((384, 384, 3), 127, np.uint8)) is None


@pytest.mark.parametrize("file", FEW)
def test_a_mesh_counts_only_where_the_detector_saw_the_same_features(file: str) -> None:
    rgb, _ = face_of(file)
    detection = SHORT_RANGE.found(rgb, LEAST_SCORE)[0]
    places = np.asarray(landmarks_of(rgb), float)[:, :2]
    height = detection.box[3] - detection.box[1]
    assert agree(places, detection)
    eyes = np.linalg.norm(detection.points[1] - detection.points[0])
    assert FARTHEST * height < eyes, "an eye at the other's place must not pass"
    for feature in FEATURES:
        moved = places.copy()
        moved[list(feature)] += (1.5 * FARTHEST * height, 0)
        assert not agree(moved, detection)


def test_the_region_stands_on_the_line_through_the_eyes() -> None:
    points = np.array([[10.0, 10.0], [20.0, 20.0], *np.zeros((4, 2))])
    region = upright(Detection((0.0, 0.0, 40.0, 30.0), points, 0.9))
    assert (region.x, region.y) == (20, 15)
    assert region.side == REGION_FACES * 40
    assert region.angle == pytest.approx(np.pi / 4)
