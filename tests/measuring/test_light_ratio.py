"""Stops between the cheeks."""

from dataclasses import replace

import numpy as np
import pytest

from eyeline.measuring.face_shape import mirrored
from eyeline.measuring.light_ratio import MEASURE, light_ratio_stops
from eyeline.measuring.srgb import LINEAR_OF_BYTE, encode
from eyeline.terms.measurement import Subject
from tests.measuring.shoot_sitters import Sitter, shoot_sitters


def _cheek(red: float, green: float, blue: float) -> np.ndarray:
    return np.rint(encode(np.tile([red, green, blue], (100, 1)))).astype(np.uint8)


def _mirror(sitter: Sitter) -> Subject:
    picture = replace(sitter.picture, rgb=np.ascontiguousarray(sitter.picture.rgb[:, ::-1]))
    landmarks = mirrored(sitter.landmarks, sitter.picture.width)
    of = replace(sitter.subject.sitter, landmarks=landmarks)
    return replace(sitter.subject, picture=picture, sitter=of)


@pytest.mark.parametrize("stops", [-2.0, -1.0, 0.0, 0.5, 1.5])
def test_twice_the_light_is_one_stop(stops: float) -> None:
    dark, bright = _cheek(0.2, 0.12, 0.08), _cheek(*(np.array([0.2, 0.12, 0.08]) * 2**stops))
    assert light_ratio_stops(dark, bright) == pytest.approx(stops, abs=0.03)


def test_a_red_channel_that_is_blown_out_does_not_hide_the_ratio() -> None:
    dark, bright = _cheek(0.5, 0.25, 0.2), _cheek(2.0, 0.99 * 0.9, 0.8 * 0.9)
    assert light_ratio_stops(dark, bright) == pytest.approx(np.log2(0.9 * 0.99 / 0.25), abs=0.06)


def test_white_or_black_cheeks_have_no_ratio() -> None:
    assert light_ratio_stops(_cheek(0.3, 0.2, 0.2), _cheek(1, 1, 1)) is None
    assert light_ratio_stops(_cheek(0, 0, 0), _cheek(0.3, 0.2, 0.2)) is None


def test_a_mirror_turns_the_sign() -> None:
    for sitter in shoot_sitters()[::12]:
        (here,), (there,) = MEASURE.function(sitter.subject), MEASURE.function(_mirror(sitter))
        assert here.value == pytest.approx(-there.value, abs=0.03)


def test_relighting_one_side_adds_its_stops() -> None:
    """One stop more light on the right half of the frame, in linear light, is one stop more of the ratio."""
    for sitter in shoot_sitters()[::12]:
        middle = int(sitter.landmarks[4, 0])
        relit = sitter.picture.rgb.copy()
        relit[:, middle:] = np.rint(encode(LINEAR_OF_BYTE[relit[:, middle:]] / 2)).astype(np.uint8)
        subject = replace(sitter.subject, picture=replace(sitter.picture, rgb=relit))
        (before,), (after,) = MEASURE.function(sitter.subject), MEASURE.function(subject)
        assert after.value - before.value == pytest.approx(-1, abs=0.1)


def test_accuracy_on_the_shoot() -> None:
    """Goal: 0.2 stop of the linear render's own ratio, on average."""
    errors = []
    for sitter in shoot_sitters():
        (found,) = MEASURE.function(sitter.subject)
        true = sitter.truth["light_ratio_stops_true"]
        if true is not None and found.value is not None:
            errors.append(abs(found.value - true))
    assert len(errors) >= 0.95 * len(shoot_sitters())
    assert np.mean(errors) <= 0.2
