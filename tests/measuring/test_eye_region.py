"""The eye in full size, and the highlights in it that must not pass for edges."""

import cv2
import numpy as np
import pytest

from eyeline.measuring.eye_region import INPAINT_REACH_PX, ellipse, eye_regions, without_highlights
from eyeline.measuring.pupils import pupils
from tests.measuring.shoot_sitters import shoot_sitters


def test_regions_hold_the_irises_where_the_mesh_has_them() -> None:
    for sitter in shoot_sitters()[::10]:
        irises = pupils(sitter.landmarks)
        for region, (x, y) in zip(
            eye_regions(sitter.picture.rgb, sitter.landmarks), (irises.left, irises.right), strict=True
        ):
            assert region is not None
            assert (region.left + region.centre[0], region.top + region.centre[1]) == pytest.approx((x, y))
            rows, columns = region.rgb.shape[:2]
            here = sitter.picture.rgb[region.top : region.top + rows, region.left : region.left + columns]
            assert np.array_equal(region.rgb, here)


def test_an_eye_outside_the_picture_is_none() -> None:
    sitter = shoot_sitters()[0]
    away = sitter.landmarks - np.float32(9000)
    assert eye_regions(sitter.picture.rgb, away) == (None, None)


def test_the_ellipse_is_as_large_as_geometry_says() -> None:
    """π × 2.2 × 1.6 iris radii²."""
    mask = ellipse((400, 400), (200, 200), 60)
    assert int(mask.sum()) == pytest.approx(np.pi * 2.2 * 1.6 * 60**2, rel=0.005)


def test_a_blown_out_highlight_is_painted_over_and_left_out() -> None:
    grey = np.full((80, 100), 60, np.uint8)
    cv2.circle(grey, (50, 40), 4, (255,), -1)
    whole = np.ones(grey.shape, bool)
    painted, mask = without_highlights(grey, whole, radius=20)
    assert painted.max() <= 63  # Telea extrapolates by a level or two
    assert not mask[40, 50]
    assert 0.97 < mask.mean() < 1


def test_only_what_is_about_a_highlight_is_painted_from() -> None:
    """As OpenCV paints the whole eye (Telea 2004), wherever the highlights lie."""
    random = np.random.default_rng(3)
    for _ in range(10):
        grey = cv2.GaussianBlur(random.integers(0, 240, (90, 120)).astype(np.uint8), (0, 0), 1.5)
        for _ in range(2):
            cv2.circle(grey, random.integers(0, (120, 90)).tolist(), int(random.integers(1, 5)), (255,), -1)
        painted, left = without_highlights(grey, np.ones(grey.shape, bool), radius=20)
        whole = cv2.inpaint(grey, (~left).astype(np.uint8), INPAINT_REACH_PX, cv2.INPAINT_TELEA)
        assert np.array_equal(painted, whole)


def test_without_white_nothing_changes() -> None:
    grey = np.random.default_rng(1).integers(0, 240, (40, 60)).astype(np.uint8)
    whole = np.ones(grey.shape, bool)
    painted, mask = without_highlights(grey, whole, radius=10)
    assert np.array_equal(painted, grey)
    assert mask.all()


def test_an_overexposed_eye_is_left_as_it_is() -> None:
    grey = np.full((80, 100), 255, np.uint8)
    grey[:20] = 100
    painted, mask = without_highlights(grey, np.ones(grey.shape, bool), radius=20)
    assert np.array_equal(painted, grey)
    assert mask.all()
