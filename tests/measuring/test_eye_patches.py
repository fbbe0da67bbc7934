"""How a patch is cut from pictures of any size."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX, cut


@pytest.mark.parametrize("reduction", [3.0, 8.0, 20.0])
def test_a_patch_shows_the_same_whatever_the_size_of_the_picture(reduction: float) -> None:
    """Against SciPy's Gaussian and OpenCV's sampling of all pixels."""
    sides = round((HEIGHT_PX + 20) * reduction), round((WIDTH_PX + 20) * reduction)
    levels = np.random.default_rng(3).uniform(0, 255, (12, 17)).astype(np.float32)
    grey = np.clip(cv2.resize(levels, sides[::-1], interpolation=cv2.INTER_CUBIC), 0, 255).astype(np.uint8)
    to_picture = np.array([[reduction, 0, 9.5 * reduction], [0, reduction, 8.5 * reduction]])
    patch = cut(np.ascontiguousarray(grey[..., None].repeat(3, axis=2)), to_picture)
    smooth = gaussian_filter(grey.astype(np.float32), 0.5 * reduction)
    matrix = to_picture - [[0, 0, 0.5], [0, 0, 0.5]]
    due = cv2.warpAffine(smooth, matrix, (WIDTH_PX, HEIGHT_PX), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
    assert np.abs(patch - due).max() < 1.5
