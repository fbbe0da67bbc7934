"""A highlight on an iris, found where it is put and missed where it is painted out."""

from dataclasses import replace

import cv2
import numpy as np

from eyeline.measuring.catchlight import MEASURE, has_catchlight
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


def test_a_point_of_light_counts_and_an_even_iris_does_not() -> None:
    iris = np.full(400, 0.04, np.float32)
    assert not has_catchlight(iris)
    iris[:12] = 0.9
    assert has_catchlight(iris)


def test_a_dark_iris_needs_no_more_light_than_a_pale_one_needs_contrast() -> None:
    pale = np.full(400, 0.3, np.float32)
    pale[:12] = 0.5
    assert not has_catchlight(pale)


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
