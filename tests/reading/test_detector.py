"""Anchors, decoding and what a detector makes of pictures that are moved, turned or enlarged."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from eyeline.reading.detector import FULL_RANGE, SHORT_RANGE, anchors, decoded, letterbox
from tests.reading.shoot_pictures import FEW, picture_of

LEAST = 0.6


def test_the_grids_have_as_many_anchors_as_the_published_models() -> None:
    """BlazeFace: 896 anchors for 128 pixels, two a place on 16 by 16 and six on 8 by 8; the full-range model
    has 2304, one a place on 48 by 48 (MediaPipe's model cards, from memory)."""
    assert anchors(SHORT_RANGE.grids).shape == (896, 2)
    assert anchors(FULL_RANGE.grids).shape == (2304, 2)


def test_anchors_are_the_middles_of_their_cells_row_by_row() -> None:
    np.testing.assert_allclose(
        anchors(((2, 2),)), [[0.25, 0.25]] * 2 + [[0.75, 0.25]] * 2 + [[0.25, 0.75]] * 2 + [[0.75, 0.75]] * 2
    )


def test_a_box_and_its_points_count_from_their_anchor() -> None:
    values = np.concatenate([[0.1, -0.1, 0.2, 0.4], np.arange(12) / 100])
    (points,) = decoded(values[None], np.array([[0.5, 0.5]]))
    np.testing.assert_allclose(points[:2], [[0.5, 0.2], [0.7, 0.6]])
    np.testing.assert_allclose(points[2:], 0.5 + np.arange(12).reshape(6, 2) / 100)


@pytest.mark.parametrize("shape", [(100, 300, 3), (300, 100, 3), (200, 200, 3)])
def test_a_letterbox_keeps_the_middle_and_blackens_what_is_beyond(shape: tuple[int, int, int]) -> None:
    white = np.full(shape, 255, np.uint8)
    whole = letterbox(white)
    cut = whole.cut(white, 60, cv2.BORDER_CONSTANT)
    assert cut.shape == (60, 60, 3)
    assert (cut[30, 30] == 255).all()
    share = min(shape[:2]) / max(shape[:2])
    assert float((cut == 255).mean()) == pytest.approx(share, abs=0.04)
    np.testing.assert_allclose(whole.out_of(np.array([[0.5, 0.5]])), [[shape[1] / 2, shape[0] / 2]])


@pytest.mark.parametrize("file", FEW)
def test_a_face_keeps_its_place_when_the_picture_gets_a_border(file: str) -> None:
    """The letterbox stays, so what the model sees does, and the border moves every place by its width."""
    rgb = picture_of(file).reduced
    height, width = rgb.shape[:2]
    border = max(height, width) - min(height, width)
    above, beside = (border // 2, 0) if width > height else (0, border // 2)
    bordered = cv2.copyMakeBorder(rgb, above, above, beside, beside, cv2.BORDER_CONSTANT)
    (face,), (moved,) = FULL_RANGE.found(rgb, LEAST), FULL_RANGE.found(np.asarray(bordered), LEAST)
    np.testing.assert_allclose(np.array(moved.box) - (beside, above) * 2, face.box, atol=1)
    assert moved.score == pytest.approx(face.score, abs=0.02)


@pytest.mark.parametrize("file", FEW)
def test_the_eyes_come_first_the_one_on_the_frames_left_before_the_other(file: str) -> None:
    (face,) = FULL_RANGE.found(picture_of(file).reduced, LEAST)
    (left, right, nose, mouth) = face.points[:4]
    assert left[0] < right[0]
    assert max(left[1], right[1]) < nose[1] < mouth[1]
