"""Motion told from defocus."""

import json
from dataclasses import replace
from math import cos, radians, sin

import cv2
import numpy as np
import pytest

from eyeline.measuring.blur_network import Blur
from eyeline.measuring.eye_blur import MEASURE
from eyeline.measuring.motion_blur import QUANTITIES, streak
from eyeline.measuring.srgb import decode, encode
from eyeline.terms.measurement import Measurement
from tests.measuring.close_up import close_up
from tests.measuring.shoot_sitters import SHOOT, Sitter, shoot_sitters


def _measured(sitter: Sitter, rgb: np.ndarray | None = None) -> list[Measurement]:
    picture = sitter.picture if rgb is None else replace(sitter.picture, rgb=rgb)
    found = {m.name: m for m in MEASURE.function(replace(sitter.subject, picture=picture))}
    return [found[quantity.name] for quantity in QUANTITIES]


def _moved(rgb: np.ndarray, length: float, angle_deg: float) -> np.ndarray:
    """A uniform streak in linear light: the mean of shifted copies, as a moving camera adds them up."""
    light = decode(rgb)
    total = np.zeros_like(light)
    steps = np.linspace(-length / 2, length / 2, 2 * int(length) + 1)
    for step in steps:
        shift = np.array(
            [[1, 0, step * cos(radians(angle_deg))], [0, 1, step * sin(radians(angle_deg))]], np.float32
        )
        size = (light.shape[1], light.shape[0])
        total += cv2.warpAffine(light, shift, size, borderMode=cv2.BORDER_REPLICATE)
    return np.rint(encode(total / len(steps))).astype(np.uint8)


def _still() -> list[Sitter]:
    """Sharp frames with open eyes."""
    return [
        close_up(sitter)
        for sitter in shoot_sitters()
        if sitter.truth["eyes_visible"] and sitter.truth["true_eye_blur_sigma_px"] < 1
    ]


def test_length_and_direction_follow_from_the_second_moments() -> None:
    """L²/12 along and nothing across: variance L²/24 on average, all of it one-sided."""
    eyes = [Blur(12 / 24**0.5, cos(radians(60)), sin(radians(60)))] * 2
    length, direction, anisotropy = streak(eyes)
    assert length == pytest.approx(12)
    assert direction == pytest.approx(30)
    assert anisotropy == pytest.approx(1)


@pytest.mark.parametrize("angle", [0, 30, 60, 90, 120, 150])
def test_a_known_streak_is_found_with_its_direction(angle: float) -> None:
    """Streaks along the lids are the hardest: few edges stand across them."""
    lengths, errors = [], []
    for sitter in _still()[::6]:
        length, direction = _measured(sitter, _moved(sitter.picture.rgb, 12, angle))
        lengths.append(length.value)
        if direction.value is not None:
            errors.append(abs((direction.value - angle + 90) % 180 - 90))
    assert np.mean(np.array(lengths, float) > 0) >= 0.6
    assert np.median(errors) <= 12
    assert np.median(lengths) == pytest.approx(12, rel=0.4)


def test_defocus_is_no_motion() -> None:
    calls = []
    for sitter in _still()[::6]:
        for sigma in (0.0, 1.5, 3.0):
            rgb = sitter.picture.rgb
            if sigma:
                rgb = np.rint(encode(cv2.GaussianBlur(decode(rgb), (0, 0), sigma))).astype(np.uint8)
            calls.append(_measured(sitter, rgb)[0].value != 0)
    assert np.mean(calls) <= 0.05


def test_the_frame_of_the_shoot_that_moved_is_the_one_called() -> None:
    """The truth has one streak of 7 pixels; direction + = clockwise. Its length is told to half."""
    records = [json.loads(line) for line in (SHOOT / "truth.jsonl").read_text().splitlines()]
    for record, sitter in zip(records, shoot_sitters(), strict=True):
        if record["motion_px"]:
            length, direction = _measured(sitter)
            assert length.value == pytest.approx(record["motion_px"], rel=0.5)
            assert abs((direction.value - record["motion_angle"] + 90) % 180 - 90) <= 20
