"""Reflections that hide the eye."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from eyeline.measuring.eye_region import eye_regions
from eyeline.measuring.glare import MEASURE, glare_share, opening_mask
from eyeline.terms.measurement import Measurement
from tests.measuring.shoot_sitters import Sitter, shoot_sitters


def _measured(sitter: Sitter, rgb: np.ndarray) -> Measurement:
    (found,) = MEASURE.function(replace(sitter.subject, picture=replace(sitter.picture, rgb=rgb)))
    return found


def test_a_white_bar_hides_the_share_that_it_covers() -> None:
    opening = np.ones((40, 80), bool)
    grey = np.full((40, 80, 3), 90, np.uint8)
    grey[:, :20] = 255
    assert glare_share(grey, opening, radius=10) == pytest.approx(0.25)


def test_a_catchlight_is_no_glare() -> None:
    grey = np.full((40, 80, 3), 90, np.uint8)
    cv2.circle(grey, (40, 20), 3, (255, 255, 255), -1)
    assert glare_share(grey, np.ones((40, 80), bool), radius=10) == 0


def test_the_shoot_has_no_glare() -> None:
    """Its glasses were rendered without strong reflections."""
    for sitter in shoot_sitters():
        found = _measured(sitter, sitter.picture.rgb)
        assert found.value in (0, None), sitter.file


def test_a_reflection_painted_over_half_an_eye_is_found() -> None:
    for sitter in shoot_sitters()[::10]:
        eye = eye_regions(sitter.picture.rgb, sitter.landmarks)[0]
        assert eye is not None
        opening = opening_mask(eye, sitter.landmarks)
        painted = sitter.picture.rgb.copy()
        middle = round(eye.left + eye.centre[0])
        painted[eye.top : eye.top + opening.shape[0], :middle] = 255
        covered = opening[:, : middle - eye.left].sum() / opening.sum()
        assert _measured(sitter, painted).value == pytest.approx(covered, abs=0.02), sitter.file
