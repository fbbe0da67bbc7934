"""Rectangles of cells: against brute force; evenness against SciPy's least squares."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import linalg, signal

from eyeline.measuring.blocks import (
    clamped,
    maximal_blocks,
    parts,
    relief,
    running_total,
    sums,
    sums_over_squares,
)

SMALL = st.tuples(st.integers(1, 7), st.integers(1, 7))


@given(arrays(np.bool_, SMALL))
def test_the_maximal_blocks_are_those_that_brute_force_finds(free: np.ndarray) -> None:
    rows, columns = free.shape
    every = {
        (left, top, right - left, bottom - top)
        for top in range(rows)
        for bottom in range(top + 1, rows + 1)
        for left in range(columns)
        for right in range(left + 1, columns + 1)
        if free[top:bottom, left:right].all()
    }
    grown = {
        (left, top, width, height)
        for left, top, width, height in every
        for wider in (
            (left - 1, top, width + 1, height),
            (left, top, width + 1, height),
            (left, top - 1, width, height + 1),
            (left, top, width, height + 1),
        )
        if wider in every
    }
    assert {tuple(block) for block in maximal_blocks(free).tolist()} == every - grown


@given(
    arrays(
        np.float32,
        st.tuples(st.integers(6, 12), st.integers(6, 12), st.just(3)),
        elements=st.integers(0, 255),
    )
)
def test_relief_is_what_least_squares_leave(colours: np.ndarray) -> None:
    """SciPy's least squares with the six terms of a surface of second degree as the second opinion."""
    side = 6
    found = relief(colours, side)
    y, x = (each.ravel() for each in np.mgrid[0:side, 0:side].astype(float))
    surface = np.stack([np.ones_like(x), x, y, x * x, y * y, x * y], axis=1)
    assert found.shape == (colours.shape[0] - side + 1, colours.shape[1] - side + 1)
    for (top, left), one in np.ndenumerate(found):
        square = colours[top : top + side, left : left + side].reshape(-1, 3).astype(float)
        unexplained = square - surface @ linalg.lstsq(surface, square)[0]
        assert one == pytest.approx(float(np.sqrt((unexplained**2).sum(axis=1).mean())), abs=0.01)


@given(arrays(np.float32, st.tuples(st.integers(3, 9), st.integers(3, 9)), elements=st.integers(0, 9)))
def test_sums_are_those_of_the_cells(values: np.ndarray) -> None:
    assert sums_over_squares(values, 3) == pytest.approx(signal.convolve2d(values, np.ones((3, 3)), "valid"))
    blocks = np.array([[0, 0, 3, 2], [1, 1, 2, 2]])
    expected = [[values[:2, :3].sum()], [values[1:3, 1:3].sum()]]
    assert sums(running_total(values[..., None]), blocks) == pytest.approx(np.array(expected))


@given(st.integers(8, 40), st.integers(8, 40))
def test_parts_lie_inside_and_hold_the_whole_and_its_halves(width: int, height: int) -> None:
    found = parts(np.array([[5, 7, width, height]]))
    left, top, wide, high = found.T
    assert (left >= 5).all() and (top >= 7).all()
    assert (left + wide <= 5 + width).all() and (top + high <= 7 + height).all()
    for expected in (
        [5, 7, width, height],
        [5, 7, round(width / 2), height],
        [5, 7 + round(height / 2), width, height - round(height / 2)],
    ):
        assert expected in found.tolist()


@given(st.integers(1, 60), st.integers(1, 60))
def test_clamped_blocks_keep_between_the_aspects_and_to_either_end(width: int, height: int) -> None:
    found = clamped(np.array([[2, 3, width, height]]), 3).tolist()
    for left, top, wide, high in found:
        assert wide <= 3 * high and high <= 3 * wide
        assert (left, top) == (2, 3) or (left + wide, top + high) == (2 + width, 3 + height)
        assert wide * high == min(width, 3 * height) * min(height, 3 * width)
