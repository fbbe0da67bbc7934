"""Kendall's tau-b against SciPy and its printed example."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau

from eyeline.agreement.tau import tau_b


def test_the_example_in_scipys_documentation() -> None:
    # By hand: 10 pairs, 2 concordant, 6 discordant, 2 tied in x, 1 in y: -4 / sqrt(8 * 9).
    assert tau_b([12, 2, 1, 12, 2], [1, 4, 7, 1, 0]) == pytest.approx(-0.47140452079103173, abs=1e-12)


@given(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5)), min_size=2, max_size=60))
def test_it_is_what_scipy_finds(pairs: list[tuple[int, int]]) -> None:
    first, second = zip(*pairs, strict=True)
    ours = tau_b(first, second)
    if len(set(first)) == 1 or len(set(second)) == 1:
        assert ours is None
    else:
        assert ours == pytest.approx(kendalltau(first, second, variant="b").statistic, abs=1e-12)


def test_many_photos_are_counted_in_parts() -> None:
    first = [number * 7919 % 5 for number in range(1500)]
    second = [number * 104729 % 4 for number in range(1500)]
    assert tau_b(first, second) == pytest.approx(kendalltau(first, second).statistic, abs=1e-12)
