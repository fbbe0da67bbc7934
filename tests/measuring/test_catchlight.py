"""A highlight on an iris, found where it is put and missed where it is painted out."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from eyeline.measuring.catchlight import MEASURE, highlight_contrast
from eyeline.measuring.pupils import pupils
from eyeline.terms.measurement import Measurement
from tests.measuring.shoot_sitters import Sitter, shoot_sitters


def _measured(sitter: Sitter, rgb: np.ndarray) -> Measurement:
    (found,) = MEASURE.function(replace(sitter.subject, picture=replace(sitter.picture, rgb=rgb)))
    return found


def _painted(sitter: Sitter, share: float, level: int) -> np.ndarray:
    """Both irises covered by a disc of `share` of their radius in a flat grey."""
    rgb = sitter.picture.rgb.copy()
    irises = pupils(sitter.landmarks)
    for (x, y), radius in (
        (irises.left, irises.left_radius_px),
        (irises.right, irises.right_radius_px),
    ):
        cv2.circle(rgb, (round(x), round(y)), round(share * radius), (level,) * 3, -1)
    return rgb


def _iris(level: float) -> tuple[np.ndarray, np.ndarray]:
    """An even iris of 20 pixels' radius and where it is searched."""
    rows, columns = np.mgrid[:64, :64] - 32
    return np.full((64, 64), level, np.float32), np.hypot(rows, columns) < 15


@pytest.mark.parametrize("level", [0.004, 0.04, 0.2])
def test_a_point_of_light_counts_on_dark_and_pale_irises_alike(level: float) -> None:
    """Its contrast is that of WCAG 2.2."""
    light, visible = _iris(level)
    assert highlight_contrast(light, visible, 20) == pytest.approx(1)
    light[28:32, 34:38] = 0.9
    assert highlight_contrast(light, visible, 20) == pytest.approx(0.95 / (level + 0.05), rel=1e-5)


def test_the_white_of_the_eye_is_no_highlight() -> None:
    light, visible = _iris(0.05)
    light[:, 40:] = 0.7
    assert highlight_contrast(light, visible, 20) == pytest.approx(1, abs=0.01)


def test_an_iris_painted_flat_has_none_and_a_dot_upon_it_is_one() -> None:
    seen = 0
    for sitter in shoot_sitters()[::6]:
        flat = _painted(sitter, 1.1, 30)
        if _measured(sitter, flat).value is None:
            continue
        seen += 1
        assert _measured(sitter, flat).value is False, sitter.file
        dotted = replace(sitter, picture=replace(sitter.picture, rgb=flat))
        assert _measured(sitter, _painted(dotted, 0.25, 240)).value is True, sitter.file
    assert seen >= 6
