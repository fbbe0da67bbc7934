"""Light is judged by what is lost, never by how bright a skin is."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from eyeline.measuring.face_light import MEASURE, clipped_share, crushed_share
from eyeline.measuring.skin import NOT_SKIN, OVAL, face_skin
from eyeline.measuring.srgb import LINEAR_OF_BYTE, encode, luminance
from eyeline.terms.measurement import Measurement
from tests.measuring.shoot_sitters import Sitter, shoot_sitters

# Monk Skin Tone swatches as three public files have them, with their relative luminance
SWATCHES = {
    "f6ede4": 0.8576,
    "f3e7db": 0.8132,
    "f7ead0": 0.8317,
    "eadaba": 0.7118,
    "d7bd96": 0.5304,
    "a07e56": 0.2307,
    "825c43": 0.1281,
    "604134": 0.0652,
    "3a312a": 0.0326,
    "292420": 0.0184,
}


def _patch(swatch: str, stops: float = 0.0) -> np.ndarray:
    """Skin of one swatch with ± 5 % of texture in linear light, exposed by `stops`: (10000, 3)."""
    light = LINEAR_OF_BYTE[list(bytes.fromhex(swatch))]
    texture = np.random.default_rng(1).uniform(0.95, 1.05, (10000, 1))
    return np.rint(encode(light * texture * 2**stops)).astype(np.uint8)


def _measured(sitter: Sitter, rgb: np.ndarray) -> dict[str, Measurement]:
    subject = replace(sitter.subject, picture=replace(sitter.picture, rgb=rgb))
    return {measurement.name: measurement for measurement in MEASURE.function(subject)}


@pytest.mark.parametrize(("swatch", "published"), SWATCHES.items())
def test_luminance_of_a_swatch_is_as_published(swatch: str, published: float) -> None:
    colour = np.array([list(bytes.fromhex(swatch))], np.uint8)
    assert float(luminance(colour)[0]) == pytest.approx(published, abs=6e-5)


def test_nothing_is_lost_in_any_skin_alike_exposed() -> None:
    """A tenth of a stop below the meter, so that no texture of the lightest swatch reaches white."""
    for swatch in SWATCHES:
        assert clipped_share(_patch(swatch, -0.1)) == 0, swatch
        assert crushed_share(_patch(swatch, -0.1)) == 0, swatch


def test_clipping_follows_the_light_that_is_lost_and_not_the_sign_of_the_exposure() -> None:
    """The darkest swatch two stops up is whole; the lightest one stop up is gone (1.715 > 1)."""
    assert clipped_share(_patch("292420", +2)) == 0
    assert clipped_share(_patch("f6ede4", +1)) > 0.99
    assert clipped_share(_patch("f6ede4", -2)) == 0


@pytest.mark.parametrize("swatch", SWATCHES)
def test_more_exposure_never_clips_less(swatch: str) -> None:
    shares = [clipped_share(_patch(swatch, stops)) for stops in np.arange(-2, 7, 0.5)]
    assert shares == sorted(shares)
    assert shares[-1] == 1


def test_two_channels_at_the_limit_lose_drawing_but_only_black_in_all_is_lost_shadow() -> None:
    assert clipped_share(np.array([[255, 180, 90], [255, 250, 90]], np.uint8)) == 0.5
    assert crushed_share(np.array([[5, 5, 5], [40, 10, 0]], np.uint8)) == 0.5


def test_exposure_multiplies_luminance_on_the_shoot() -> None:
    """One stop less light, applied in linear light, halves the median luminance."""
    for sitter in shoot_sitters()[::12]:
        rgb = sitter.picture.rgb
        darker = np.rint(encode(LINEAR_OF_BYTE / 2)).astype(np.uint8)[rgb]
        here, there = _measured(sitter, rgb), _measured(sitter, darker)
        assert there["face_luminance"].value == pytest.approx(here["face_luminance"].value / 2, rel=0.04)


def test_sampling_finds_the_share_of_the_whole_face() -> None:
    """A face brightened until a third clips: every fourth pixel tells the same as every pixel."""
    for sitter in shoot_sitters()[::24]:
        light = LINEAR_OF_BYTE[sitter.picture.rgb]
        skin = face_skin(sitter.picture.rgb, sitter.landmarks).rgb
        gain = 0.956 / float(np.quantile(np.sort(LINEAR_OF_BYTE[skin], axis=1)[:, 1], 2 / 3))
        bright = np.rint(encode(light * gain)).astype(np.uint8)
        assert _measured(sitter, bright)["face_clipped"].value == pytest.approx(1 / 3, abs=0.02)
        large = bright.repeat(2, axis=0).repeat(2, axis=1)
        twice = replace(sitter.subject.sitter, landmarks=sitter.landmarks * 2)
        subject = replace(sitter.subject, picture=replace(sitter.picture, rgb=large), sitter=twice)
        share = {m.name: m for m in MEASURE.function(subject)}["face_clipped"].value
        assert share == pytest.approx(_measured(sitter, bright)["face_clipped"].value, abs=0.01)


def test_a_face_outside_the_picture_is_missing_with_its_reason() -> None:
    sitter = shoot_sitters()[0]
    far = replace(sitter.subject.sitter, landmarks=sitter.landmarks - np.float32(9000))
    subject = replace(sitter.subject, sitter=far)
    for measurement in MEASURE.function(subject):
        assert measurement.value is None
        assert "skin" in str(measurement.missing)


def test_clipping_says_whether_it_was_measured_in_a_preview() -> None:
    """The camera's rendering clips before its sensor does."""
    sitter = shoot_sitters()[0]
    preview = replace(sitter.subject, picture=replace(sitter.picture, is_preview=True))
    for subject, source in ((sitter.subject, "file"), (preview, "preview")):
        found = {measurement.name: measurement.value for measurement in MEASURE.function(subject)}
        assert found["clipping_source"] == source


def test_half_the_light_halves_the_sitters_white() -> None:
    for sitter in shoot_sitters()[::12]:
        darker = np.rint(encode(LINEAR_OF_BYTE / 2)).astype(np.uint8)[sitter.picture.rgb]
        here = _measured(sitter, sitter.picture.rgb)["sitter_white"].value
        there = _measured(sitter, darker)["sitter_white"].value
        assert there == pytest.approx(here / 2, rel=0.04)


def with_skin_darkened(sitter: Sitter, stops: float) -> np.ndarray:
    """The same light on a darker skin: all of the face but eyes, brows and lips."""
    mask = np.zeros(sitter.picture.rgb.shape[:2], np.uint8)
    for value, parts in ((1, (OVAL,)), (0, NOT_SKIN)):
        for part in parts:
            hull = cv2.convexHull(sitter.landmarks[list(part), :2])
            cv2.fillPoly(mask, [np.rint(hull).astype(np.int32)], (value,))
    darker = np.rint(encode(LINEAR_OF_BYTE * 2.0**-stops)).astype(np.uint8)[sitter.picture.rgb]
    return np.where(mask[..., None] > 0, darker, sitter.picture.rgb)


def test_a_darker_skin_in_the_same_light_is_as_bright_by_the_whites_of_its_eyes() -> None:
    for sitter in shoot_sitters()[::12]:
        if not sitter.truth["eyes_visible"]:
            continue
        at_skin, at_whites = (
            _measured(sitter, with_skin_darkened(sitter, stops))["sitter_white"].value for stops in (3.0, 5.0)
        )
        assert at_whites == pytest.approx(at_skin, rel=0.02), "the skin is no longer the brightest"
        assert at_whites > 0.1


def test_a_bright_wall_does_not_light_the_sitter() -> None:
    sitter = shoot_sitters()[0]
    rgb = sitter.picture.rgb.copy()
    rows, columns = np.mgrid[: rgb.shape[0], : rgb.shape[1]]
    left, top = sitter.landmarks[:, :2].min(axis=0) - 20
    right = sitter.landmarks[:, 0].max() + 20
    rgb[(columns < left) | (columns > right) | (rows < top)] = 255
    here, there = (_measured(sitter, each)["sitter_white"].value for each in (sitter.picture.rgb, rgb))
    assert there == pytest.approx(here)
