"""What is known of people's heads and eyes, against what is measured.

ANSUR II (US Army 2012, NATICK/TR-15/007, public release), ratios computed outside this project from its
public tables of 4082 men and 1986 women.
"""

from __future__ import annotations

from math import dist

import cv2
import numpy as np
import pytest

from eyeline.measuring.eye_network import look_at_eyes
from eyeline.measuring.face_shape import usual_face
from eyeline.measuring.gaze import gaze
from eyeline.measuring.pupils import pupils
from tests.measuring.shoot_sitters import shoot_sitters
from tests.reading.shoot_pictures import FEW, points_of, truth

SELLION, MENTON = 168, 152
"""Points of mediapipe's mesh: the deepest of the nose's root, the lowest of the chin."""

FACE_OVER_PUPILS = (1.67, 2.13)
"""Menton to sellion over the interpupillary distance, 5th to 95th percentile of both sexes."""

BALD_CROWN_OVER_FACE = 0.81
"""Crown above the eyes over menton to sellion, 5th percentile of both sexes, measured on the scalp."""

FEW_PIXELS = 15.0
"""Interpupillary distance of a face too small to tell a gaze by: one pixel of an iris is over 20°, with the
iris a centimetre before the centre of its rotation and 63 mm between the pupils."""


def test_the_usual_face_is_as_long_as_people_s() -> None:
    face = usual_face().points
    ratio = dist(face[SELLION], face[MENTON]) / dist(face[468], face[473])
    assert FACE_OVER_PUPILS[0] < ratio < FACE_OVER_PUPILS[1]


@pytest.mark.parametrize("file", FEW)
def test_a_crown_with_hair_is_no_lower_than_a_bald_one(file: str) -> None:
    assert abs(truth()[file]["people"][0]["head_pitch_los"]) < 5
    points = points_of(file)
    assert points.crown_y is not None
    assert not points.crown_cut
    above, below = points.eye_y - points.crown_y, points.chin[1] - points.eye_y
    assert above / below >= BALD_CROWN_OVER_FACE


def test_a_face_of_few_pixels_is_less_sure_of_its_gaze() -> None:
    large, small = [], []
    for sitter in shoot_sitters()[::6]:
        scale = FEW_PIXELS / pupils(sitter.landmarks).interpupillary_px
        rgb = cv2.resize(sitter.picture.rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        large.append(gaze(look_at_eyes(sitter.picture.rgb, sitter.landmarks)))
        small.append(gaze(look_at_eyes(np.asarray(rgb, np.uint8), sitter.landmarks * np.float32(scale))))
    for error in ("yaw_error_deg", "pitch_error_deg"):
        assert np.mean([getattr(each, error) for each in small]) > np.mean(
            [getattr(each, error) for each in large]
        )
