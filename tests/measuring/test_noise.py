"""Noise against Immerkær 1996 and the wavelet estimate of Donoho & Johnstone by SciPy."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import convolve2d
from scipy.stats import median_abs_deviation
from skimage import data

from eyeline.measuring.noise import KERNEL, MEASURE, noise_sigma
from tests.measuring.shoot_sitters import shoot_sitters


def _field(sigma: float, seed: int, side: int = 512) -> np.ndarray:
    return np.random.default_rng(seed).normal(128, sigma, (side, side)).astype(np.float32)


def test_kernel_has_the_published_energy() -> None:
    """E(I*N)² = 36 σ² (Immerkær 1996)."""
    assert float((KERNEL**2).sum()) == 36


@pytest.mark.parametrize(
    ("sigma", "published", "spread"),
    [(2, 1.999, 0.004), (5, 4.996, 0.011), (10, 9.989, 0.024), (20, 20.001, 0.038)],
)
def test_white_noise_is_told_as_published(sigma: float, published: float, spread: float) -> None:
    """Mean ± s.d. over 20 fields of 512 × 512, computed outside this project (reference table, noise)."""
    found = np.array([noise_sigma(_field(sigma, seed)) for seed in range(20)])
    assert found.mean() == pytest.approx(published, abs=3 * spread / np.sqrt(20) + 0.002 * sigma)
    assert np.all(np.abs(found - sigma) <= 4 * spread + 0.01 * sigma)


def test_ramp_and_upright_step_are_no_noise() -> None:
    rows, columns = np.mgrid[:64, :64].astype(np.float32)
    assert noise_sigma(columns * 2 + rows) == 0
    assert noise_sigma(np.where(columns < 32, 40, 200).astype(np.float32)) == 0


@pytest.mark.parametrize("sigma", [3.0, 8.0])
def test_the_wavelet_estimate_agrees(sigma: float) -> None:
    """Median deviation of the diagonal Haar detail (Donoho & Johnstone, Biometrika 81, 1994)."""
    field = _field(sigma, 7)
    detail = convolve2d(field, np.array([[1, -1], [-1, 1]]) / 2, mode="valid")
    assert noise_sigma(field) == pytest.approx(
        median_abs_deviation(detail, axis=None, scale="normal"), rel=0.02
    )


def test_more_noise_gives_more_on_a_photograph() -> None:
    """scikit-image's public-domain portrait."""
    face = data.astronaut()[80:200, 170:290, 1].astype(np.float32)
    random = np.random.default_rng(3)
    found = [noise_sigma(face + random.normal(0, s, face.shape).astype(np.float32)) for s in (0, 2, 4, 8, 16)]
    assert found == sorted(found)
    assert found[-1] == pytest.approx(16, rel=0.15)


def test_added_noise_is_found_on_the_skin_of_the_shoot() -> None:
    """A known change of the pixels: noise of 6 levels on a frame that has 0.5."""
    sitter = shoot_sitters()[0]
    rgb = sitter.picture.rgb
    noisy = rgb + np.random.default_rng(5).normal(0, 6, rgb.shape)
    picture = replace(sitter.picture, rgb=np.clip(np.rint(noisy), 0, 255).astype(np.uint8))
    (found,) = MEASURE.function(replace(sitter.subject, picture=picture))
    assert found.value == pytest.approx(6, rel=0.1)
