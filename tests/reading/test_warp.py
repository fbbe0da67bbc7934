"""Squares cut out of pictures: what is where, and the way back."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.reading.warp import Square

numbers = st.floats(-50, 50)


def test_an_upright_square_is_a_crop() -> None:
    rgb = np.random.default_rng(1).integers(0, 256, (40, 60, 3), dtype=np.uint8)
    cut = Square(30, 20, 16).cut(rgb, 16, cv2.BORDER_CONSTANT)
    np.testing.assert_array_equal(cut, rgb[12:28, 22:38])


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_a_square_turned_by_quarters_shows_the_picture_turned_back(quarters: int) -> None:
    smooth = cv2.GaussianBlur(
        np.random.default_rng(2).integers(0, 256, (64, 64, 3), dtype=np.uint8), (0, 0), 5
    )
    cut = Square(32, 32, 64, quarters * np.pi / 2).cut(smooth, 64, cv2.BORDER_REPLICATE)
    turned = np.rot90(smooth, quarters)
    away = np.abs(cut.astype(int) - turned)[2:-2, 2:-2]
    assert away.max() <= 4  # the corners' convention moves it by a pixel at most


@given(numbers, numbers, st.floats(1, 100), st.floats(-np.pi, np.pi))
def test_the_way_back_keeps_corners_angle_and_size(x: float, y: float, side: float, angle: float) -> None:
    square = Square(x, y, side, angle)
    middle, right, below = square.out_of(np.array([[0.5, 0.5], [1.0, 0.5], [0.5, 1.0]]))
    np.testing.assert_allclose(middle, [x, y], atol=1e-9)
    along, down = right - middle, below - middle
    np.testing.assert_allclose(along, side / 2 * np.array([np.cos(angle), np.sin(angle)]), atol=1e-9)
    np.testing.assert_allclose(down, side / 2 * np.array([-np.sin(angle), np.cos(angle)]), atol=1e-9)


@given(st.floats(-3, 3), st.floats(20, 40))
def test_a_dot_comes_back_to_where_it_was(angle: float, side: float) -> None:
    rgb = np.zeros((80, 80, 3), np.uint8)
    cv2.circle(rgb, (44, 37), 3, (255, 255, 255), -1)
    square = Square(42, 40, side, angle)
    cut = square.cut(rgb, 96, cv2.BORDER_CONSTANT)[:, :, 0].astype(float)
    y, x = np.mgrid[:96, :96]
    centre = np.array([[(x * cut).sum(), (y * cut).sum()]]) / cut.sum() / 96
    np.testing.assert_allclose(square.out_of(centre), [[44, 37]], atol=0.5)
