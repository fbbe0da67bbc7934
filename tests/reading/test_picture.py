"""The reduced picture: every pixel the mean of the area that it covers, as scikit-image averages it."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from skimage.transform import resize_local_mean

from eyeline.reading.picture import REDUCED_LONG_SIDE_PX, reduced
from tests.cli.conftest import SHOOT


@pytest.mark.parametrize("size", [(3000, 2000), (2048, 1366), (1800, 1200)])
def test_the_reduced_picture_is_the_local_mean(size: tuple[int, int]) -> None:
    frame = cv2.imread(str(SHOOT / "NL1_1002.jpg"))
    rgb = np.asarray(cv2.resize(frame, size, interpolation=cv2.INTER_CUBIC), np.uint8)
    small = reduced(rgb)
    assert max(small.shape[:2]) == REDUCED_LONG_SIDE_PX
    mean = resize_local_mean(rgb, small.shape[:2], channel_axis=2, preserve_range=True)
    difference = np.abs(small - mean)
    assert difference.mean() < 0.5
    assert np.percentile(difference, 99) <= 3  # levels of 255


def test_a_small_picture_is_left_as_it_is() -> None:
    rgb = np.zeros((600, 1024, 3), np.uint8)
    assert reduced(rgb) is rgb
