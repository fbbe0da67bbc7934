"""The sharpness of edges against analytic ones and the published re-blur table."""

from math import erf, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter, gaussian_filter1d

from eyeline.measuring.edges import edge_sigma, slope_energy


def _edge(sigma: float, height: float = 100.0, side: int = 96) -> np.ndarray:
    """An upright edge by the error function at pixel centres, centred on a pixel: (side, side)."""
    x = np.arange(side) - side // 2
    row = [0.5 * (1 + erf(value / (sigma * sqrt(2)))) for value in x]
    return np.tile(np.array(row, np.float32) * height + 50, (side, 1)).astype(np.float32)


def _sigma(grey: np.ndarray, noise: float = 0.0) -> float:
    found = edge_sigma(slope_energy(grey.astype(np.float32), np.ones(grey.shape, bool)), noise)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("sigma", "first", "brenner", "second"),
    [
        (1, 0.27089, 0.97213, 0.111444),
        (1.5, 0.18466, 0.70112, 0.037510),
        (2, 0.13960, 0.54181, 0.016579),
        (3, 0.09360, 0.36931, 0.005082),
        (4, 0.07034, 0.27919, 0.002170),
    ],
)
def test_the_analytic_edge_is_the_published_one(
    sigma: float, first: float, brenner: float, second: float
) -> None:
    """Energies of differences of a unit step (reference table, focus): the ground these tests stand on."""
    row = _edge(sigma, height=1.0)[0].astype(float)
    assert float((np.diff(row) ** 2).sum()) == pytest.approx(first, rel=0.01)
    assert float(((row[2:] - row[:-2]) ** 2).sum()) == pytest.approx(brenner, rel=0.01)
    assert float((np.diff(row, 2) ** 2).sum()) == pytest.approx(second, rel=0.01)


@pytest.mark.parametrize(
    ("sigma", "ratio", "estimate"), [(1, 1.3116, 1.178), (2, 1.1090, 2.085), (3, 1.0522, 3.056)]
)
def test_the_published_reblur_check(sigma: float, ratio: float, estimate: float) -> None:
    """One pixel of re-blur and plain differences give these numbers, bias and all; the measure below
    takes the bias out by counting the variance of the difference itself."""
    row = _edge(sigma)[0].astype(float)
    found = np.diff(row).max() / np.diff(gaussian_filter1d(row, 1.0)).max()
    assert found == pytest.approx(ratio, abs=0.002)
    assert 1 / sqrt(found**2 - 1) == pytest.approx(estimate, abs=0.01)
    assert _sigma(_edge(sigma)) == pytest.approx(sigma, rel=0.05)


@pytest.mark.parametrize("sigma", [0.5, 0.7, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0])
def test_the_sigma_of_an_edge_is_found(sigma: float) -> None:
    assert abs(_sigma(_edge(sigma)) - sigma) <= max(0.06 * sigma, 0.06)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.7, 5.0), st.floats(0.1, 1.0))
def test_contrast_does_not_count(sigma: float, contrast: float) -> None:
    """A low-contrast edge is as sharp as a high one: slopes divide out."""
    assert _sigma(_edge(sigma, 150 * contrast)) == pytest.approx(_sigma(_edge(sigma, 150)), rel=0.01)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.7, 4.0), st.floats(1.0, 4.0))
def test_blur_adds_in_quadrature(sigma: float, more: float) -> None:
    expected = sqrt(sigma**2 + more**2)
    assert _sigma(gaussian_filter(_edge(sigma), more, mode="nearest")) == pytest.approx(expected, rel=0.08)


@pytest.mark.parametrize("sigma", [1.0, 2.0, 4.0])
def test_noise_does_not_pass_for_sharpness(sigma: float) -> None:
    noisy = _edge(sigma) + np.random.default_rng(2).normal(0, 3, (96, 96))
    assert _sigma(noisy, 3.0) == pytest.approx(sigma, rel=0.25)


def test_flat_and_merely_noisy_patches_have_no_edge() -> None:
    """A flat grey patch with noise of 2.24 levels has a variance of the Laplacian of 100, "sharp" by a
    threshold in common use (reference values, focus): here it has no sharpness at all."""
    flat = np.full((96, 96), 128, np.float32)
    noisy = flat + np.random.default_rng(4).normal(0, 2.24, flat.shape).astype(np.float32)
    everywhere = np.ones(flat.shape, bool)
    assert edge_sigma(slope_energy(flat, everywhere), 0.0) is None
    assert edge_sigma(slope_energy(noisy, everywhere), 2.24) is None


def test_direction_tells_a_streak_from_its_cross() -> None:
    """A disc smeared 9 pixels along the rows is softer along them than down them by L²/12; its flat
    top makes the peak slope read up to a fifth more than a Gaussian of that variance."""
    rows, columns = np.mgrid[:128, :128] - 64
    disc = gaussian_filter(np.where(np.hypot(rows, columns) < 30, 200.0, 50.0), 1.5)
    smeared = np.mean([np.roll(disc, shift, axis=1) for shift in range(-4, 5)], axis=0).astype(np.float32)
    everywhere = np.ones(disc.shape, bool)
    along = edge_sigma(slope_energy(smeared, everywhere), 0.0, 1)
    across = edge_sigma(slope_energy(smeared, everywhere), 0.0, 2)
    assert along == pytest.approx(sqrt(1.5**2 + (9**2 - 1) / 12), rel=0.2)
    assert across == pytest.approx(1.5, rel=0.25)
