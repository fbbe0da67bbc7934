"""The frame's own white: the light that came in, with no skin in the formula."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from skimage import exposure

from eyeline.measuring.frame_white import STRIDE, WHITE_SHARE, frame_white
from eyeline.measuring.srgb import LINEAR_OF_BYTE, encode, luminance
from tests.reading.shoot_pictures import FEW, painted, picture_of


@pytest.mark.parametrize(("level", "light"), [(188, 0.5029), (255, 1.0), (128, 0.2159)])
def test_one_part_in_a_hundred_is_a_white(level: int, light: float) -> None:
    """Light of sRGB levels by IEC 61966-2-1."""
    drawn = np.zeros((200, 200, 3), np.uint8)
    drawn[:, :2] = level
    reduced = drawn.repeat(STRIDE, axis=0).repeat(STRIDE, axis=1)
    assert frame_white(replace(painted(reduced), reduced=reduced)) == pytest.approx(light, abs=1e-3)


def test_a_catchlight_is_none() -> None:
    drawn = np.full((400, 400, 3), 40, np.uint8)
    drawn[100:110, 100:110] = 255
    assert frame_white(painted(drawn)) == pytest.approx(LINEAR_OF_BYTE[40], abs=1e-3)


@pytest.mark.parametrize("file", FEW)
def test_a_stop_less_light_halves_it_whoever_sits(file: str) -> None:
    picture = picture_of(file)
    darker = np.rint(encode(LINEAR_OF_BYTE / 2)).astype(np.uint8)[picture.reduced]
    assert frame_white(replace(picture, reduced=darker)) == pytest.approx(frame_white(picture) / 2, rel=0.03)


@pytest.mark.parametrize("file", FEW)
def test_the_cumulative_histogram_of_scikit_image_agrees(file: str) -> None:
    """A second opinion by another road: the level at which its cumulative histogram passes the share."""
    picture = picture_of(file)
    cumulative, centres = exposure.cumulative_distribution(luminance(picture.reduced), nbins=2000)
    level = float(centres[np.searchsorted(cumulative, 1 - WHITE_SHARE)])
    assert frame_white(picture) == pytest.approx(level, abs=0.01)
