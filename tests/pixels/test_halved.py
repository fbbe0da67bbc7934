"""Half the size: the mean of four, as plain arithmetic has it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from eyeline.pixels.halved import halved


@given(
    arrays(np.float32, st.tuples(st.integers(2, 9), st.integers(2, 9)), elements=st.floats(0, 255, width=32))
)
def test_each_is_the_mean_of_four_and_an_odd_end_is_left_out(levels: np.ndarray) -> None:
    rows, columns = levels.shape[0] // 2, levels.shape[1] // 2
    blocks = levels[: 2 * rows, : 2 * columns].reshape(rows, 2, columns, 2)
    assert halved(levels) == pytest.approx(blocks.mean(axis=(1, 3)), rel=1e-5, abs=1e-4)


def test_colours_keep_their_kind_and_channels_apart() -> None:
    rgb = np.zeros((7, 4, 3), np.uint8)
    rgb[..., 1] = 100
    rgb[0, 0, 2] = 255
    half = halved(rgb)
    assert half.shape == (3, 2, 3)
    assert half.dtype == np.uint8
    assert half[0, 0].tolist() == [0, 100, 64]
