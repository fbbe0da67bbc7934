"""sRGB and WCAG primitives against published values (reference tables: WCAG 2.2, IEC 61966-2-1)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage import color

from eyeline.measuring.srgb import LINEAR_OF_BYTE, contrast_ratio, decode, encode, luminance

# WCAG 2.2 formula, evaluated outside this project to six digits
CONTRASTS = [
    ("000000", "ffffff", 21.000000),
    ("777777", "ffffff", 4.478089),
    ("767676", "ffffff", 4.542225),
    ("949494", "ffffff", 3.033470),
    ("959595", "ffffff", 2.995346),
    ("808080", "ffffff", 3.949440),
    ("ff0000", "ffffff", 3.998477),
    ("0000ff", "ffffff", 8.592471),
    ("00ff00", "ffffff", 1.372190),
    ("ff0000", "0000ff", 2.148936),
    ("595959", "ffffff", 7.004729),
    ("808080", "000000", 5.317210),
]


def _luminance_of(colour: str) -> float:
    return float(luminance(np.array([list(bytes.fromhex(colour))], np.uint8))[0])


def _exact_luminance_of(colour: str) -> float:
    red, green, blue = (float(LINEAR_OF_BYTE[value]) for value in bytes.fromhex(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize(("one", "other", "published"), CONTRASTS)
def test_contrast_ratio_agrees_with_the_published_pairs(one: str, other: str, published: float) -> None:
    exact = contrast_ratio(_exact_luminance_of(one), _exact_luminance_of(other))
    assert float(exact) == pytest.approx(published, abs=1e-6)
    assert float(contrast_ratio(_luminance_of(one), _luminance_of(other))) == pytest.approx(
        published, rel=1e-6
    )


def test_luminance_agrees_with_a_published_cross_value() -> None:
    # documentation of the npm package contrast-ratio-checker
    orange = np.array([255, 129, 0], np.uint8)
    plum = np.array([100, 0, 58], np.uint8)
    assert float(luminance(orange)) == pytest.approx(0.36960513804637335, rel=1e-6)
    assert float(contrast_ratio(luminance(orange), luminance(plum))) == pytest.approx(
        5.235369975583679, rel=1e-6
    )


@pytest.mark.parametrize(
    ("linear", "encoded"),
    [(0.18, 117.65), (0.5, 187.52), (0.09, 84.62), (0.36, 161.73), (0.9, 243.45), (0.01, 25.46)],
)
def test_encoding_agrees_with_the_published_table(linear: float, encoded: float) -> None:
    # 0.09 is printed as 84.66 in the reference table; the formula of the standard gives 84.617
    assert float(encode(linear)) == pytest.approx(encoded, abs=0.005)


@pytest.mark.parametrize(
    ("byte", "linear"),
    [
        (118, 0.181164),
        (119, 0.184475),
        (128, 0.215861),
        (247, 0.930111),
        (250, 0.955973),
        (254, 0.991102),
        (10, 0.00303527),
    ],
)
def test_decoding_agrees_with_the_published_table(byte: int, linear: float) -> None:
    assert float(LINEAR_OF_BYTE[byte]) == pytest.approx(linear, abs=6e-7)


def test_decode_and_encode_return_every_byte() -> None:
    every_byte = np.arange(256, dtype=np.uint8)
    assert np.array_equal(np.rint(encode(decode(every_byte))), every_byte)


def test_which_greys_carry_white_and_black_text() -> None:
    # WCAG thresholds are not rounded: white passes 4.5 up to grey 118 and 3 up to 148, black from 117
    grey = np.repeat(np.arange(256, dtype=np.uint8)[:, None], 3, axis=1)
    on_white = contrast_ratio(luminance(grey), 1.0)
    on_black = contrast_ratio(luminance(grey), 0.0)
    assert np.flatnonzero(on_white >= 4.5).max() == 118
    assert np.flatnonzero(on_white >= 3).max() == 148
    assert np.flatnonzero(on_black >= 4.5).min() == 117
    assert np.maximum(on_white, on_black).min() > 4.58


@given(st.floats(0, 1), st.floats(0, 1))
def test_contrast_is_symmetric_and_one_with_itself(a: float, b: float) -> None:
    assert contrast_ratio(a, b) == contrast_ratio(b, a)
    assert contrast_ratio(a, a) == 1
    assert 1 <= contrast_ratio(a, b) <= 21


def test_scikit_image_has_the_same_luminance() -> None:
    """The Y of CIE XYZ by `skimage.color.rgb2xyz`, for D65, whose weights have two digits more."""
    colours = np.random.default_rng(2).integers(0, 256, (500, 1, 3), dtype=np.uint8)
    theirs = color.rgb2xyz(colours)[..., 1]
    assert luminance(colours) == pytest.approx(theirs, abs=1e-4)
