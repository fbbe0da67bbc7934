from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.measuring.eyes import MEASURE, aspect_ratio, openings
from eyeline.measuring.face_shape import mirrored
from tests.measuring.shoot_sitters import shoot_sitters

PUBLISHED = np.array([[0, 0], [10, 3], [20, 3], [30, 0], [20, -3], [10, -3]], float)


def test_the_aspect_ratio_of_a_worked_example() -> None:
    """reference-values §7: six points of a 30 by 6 eye give exactly 0.2 (Soukupová & Čech 2016)."""
    assert aspect_ratio(PUBLISHED) == pytest.approx(0.2, abs=1e-12)


def test_lids_together_give_zero() -> None:
    assert aspect_ratio(PUBLISHED * [1, 0]) == 0


@pytest.mark.parametrize(("aperture_mm", "ratio"), [(9.7, 0.305), (8.5, 0.267), (11.0, 0.346), (6.4, 0.201)])
def test_an_ellipse_of_anatomical_size(aperture_mm: float, ratio: float) -> None:
    """reference-values §7: points at the thirds of an ellipse 30 mm wide; apertures of Read et al. 2006."""
    half = aperture_mm / 2 * np.sqrt(1 - (1 / 3) ** 2)
    six = np.array([[-15, 0], [-5, half], [5, half], [15, 0], [5, -half], [-5, -half]])
    assert aspect_ratio(six) == pytest.approx(ratio, abs=5e-4)


@given(st.floats(0.01, 100), st.floats(-np.pi, np.pi), st.floats(-1000, 1000), st.floats(-1000, 1000))
def test_scale_rotation_and_shift_change_nothing(scale: float, turn: float, x: float, y: float) -> None:
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    assert aspect_ratio(PUBLISHED @ rotation.T * scale + [x, y]) == pytest.approx(0.2, abs=1e-7)


def test_a_mirror_swaps_the_openings_and_leaves_the_probability() -> None:
    for sitter in shoot_sitters()[:10]:
        left, right = openings(sitter.landmarks)
        flipped = mirrored(sitter.landmarks, sitter.picture.width)
        assert openings(flipped) == pytest.approx((right, left), abs=1e-4)


def test_open_and_closed_eyes_of_the_shoot() -> None:
    """Every frame of the shoot whose eyes are wholly open or shut falls on its side of a half."""
    for sitter in shoot_sitters():
        *_, open_ = MEASURE.function(sitter.subject)
        if sitter.truth["eyes"] == "open":
            assert open_.value > 0.5, sitter.file
        if sitter.truth["eyes"] == "closed":
            assert open_.value < 0.5, sitter.file
