"""Single pixels: those that plain slicing has, whatever the step and the size."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from eyeline.pixels.picked import picked


@given(st.integers(1, 130), st.integers(0, 400), st.integers(0, 400))
def test_each_is_the_first_of_its_step(step: int, height: int, width: int) -> None:
    levels = np.random.default_rng(step).integers(0, 256, (height + 3, width + 5, 3)).astype(np.uint8)
    window = levels[1 : 1 + height, 2 : 2 + width]
    assert np.array_equal(picked(window, step), window[::step, ::step])
