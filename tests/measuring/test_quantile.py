from __future__ import annotations

import numpy as np
import pytest

from eyeline.measuring.quantile import quantile


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.95, 1.0])
@pytest.mark.parametrize("count", [1, 2, 7, 1000])
def test_a_quantile_is_what_numpy_calls_one(share: float, count: int) -> None:
    values = np.random.default_rng(count).normal(size=count).astype(np.float32)
    assert quantile(values, share) == pytest.approx(float(np.quantile(values, share)), rel=1e-5)


def test_asking_for_one_leaves_the_values_in_their_order() -> None:
    values = np.array([3, 1, 2], np.float32)
    quantile(values, 0.5)
    assert values.tolist() == [3, 1, 2]
