from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from eyeline.sitting.colour_difference import at_middle_lightness, ciede2000, luminance_of

color = pytest.importorskip("skimage.color")
LAB = some.tuples(some.floats(0, 100), some.floats(-100, 100), some.floats(-100, 100))

# Sharma, Wu & Dalal 2005, table 1, pairs 1, 4, 7, 17, 25 (quoted from memory; the second reader below,
# scikit-image, gives the same).
PUBLISHED = [
    ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
    ((50.0, -1.3802, -84.2814), (50.0, 0.0, -82.7485), 1.0000),
    ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
]


@pytest.mark.parametrize(("one", "other", "difference"), PUBLISHED)
def test_published_pairs(
    one: tuple[float, float, float], other: tuple[float, float, float], difference: float
) -> None:
    assert ciede2000(one, other) == pytest.approx(difference, abs=5e-5)
    assert float(color.deltaE_ciede2000(np.array(one), np.array(other))) == pytest.approx(
        difference, abs=5e-5
    )


@given(LAB, LAB)
def test_a_second_reader_agrees(one: tuple[float, float, float], other: tuple[float, float, float]) -> None:
    """scikit-image's own implementation of the formula."""
    expected = float(color.deltaE_ciede2000(np.array(one), np.array(other)))
    # Exactly opposite hues have two means; either is allowed, so such pairs are only bounded.
    if abs(abs(np.degrees(np.arctan2(one[2], one[1]) - np.arctan2(other[2], other[1]))) - 180) < 1:
        return
    assert ciede2000(one, other) == pytest.approx(expected, abs=1e-6, rel=1e-6)


@given(LAB, LAB)
def test_it_is_symmetric_and_zero_for_the_same(
    one: tuple[float, float, float], other: tuple[float, float, float]
) -> None:
    assert ciede2000(one, one) == 0
    assert ciede2000(one, other) == pytest.approx(ciede2000(other, one), abs=1e-6)


def test_less_light_is_no_other_colour_at_middle_lightness() -> None:
    """Three stops of one wall, by scikit-image from linear light."""
    wall = np.array([0.4, 0.3, 0.2])
    encoded = [
        np.where((x := wall * f) > 0.0031308, 1.055 * x ** (1 / 2.4) - 0.055, 12.92 * x)
        for f in (1, 0.5, 0.25)
    ]
    bright, half, quarter = (tuple(color.rgb2lab(each[None, None])[0, 0]) for each in encoded)
    assert ciede2000(bright, quarter) > 15
    for other in (half, quarter):
        assert ciede2000(at_middle_lightness(bright), at_middle_lightness(other)) < 0.05


def test_luminance_of_lightness() -> None:
    """18 % grey is L* 49.5 (CIE 15)."""
    assert luminance_of(49.5) == pytest.approx(0.18, abs=0.001)
    assert luminance_of(8) == pytest.approx(luminance_of(8.0001), abs=1e-5)
    assert luminance_of(0) == 0
