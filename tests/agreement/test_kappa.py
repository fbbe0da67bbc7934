"""Weighted kappa against printed examples; each source stands beside its numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.agreement.kappa import (
    STARS,
    confusion,
    kappa_of_table,
    quadratic_weighted_kappa,
    quadratic_weights,
)

# R package irr, data set `anxiety`, raters 2 and 3; printed results as in the tests of statsmodels.
RATER_2 = [3, 6, 4, 6, 2, 4, 2, 4, 3, 3, 2, 3, 3, 3, 2, 2, 1, 3, 3, 4]
RATER_3 = [2, 1, 4, 4, 3, 2, 1, 6, 1, 1, 1, 2, 3, 3, 1, 1, 3, 3, 2, 2]


def test_irr_anxiety_where_the_level_nobody_gave_is_dropped() -> None:
    assert quadratic_weighted_kappa(RATER_2, RATER_3, [1, 2, 3, 4, 6]) == pytest.approx(0.2520325, abs=1e-6)


def test_a_level_that_nobody_gave_counts_by_its_distance() -> None:
    # The trap: with the level 5 in its place the distance from 4 to 6 is 2, not 1.
    found = quadratic_weighted_kappa(RATER_2, RATER_3, [1, 2, 3, 4, 5, 6])
    assert found == pytest.approx(0.22979798, abs=1e-6)


def test_stars_are_five_levels_whatever_was_given() -> None:
    all_levels = quadratic_weighted_kappa([1, 1, 5, 5, 4], [1, 4, 5, 4, 4])
    dropped = quadratic_weighted_kappa([1, 1, 3, 3, 2], [1, 2, 3, 2, 2], [1, 2, 3])
    assert STARS == (1, 2, 3, 4, 5)
    assert all_levels != pytest.approx(dropped, abs=1e-3)


def test_the_printed_sas_example() -> None:
    # SAS/STAT FREQ example as printed in the tests of statsmodels: unweighted 0.4842, linear 0.4701.
    table = [[0, 4, 1], [0, 8, 0], [0, 1, 5]]
    places = np.arange(3)
    apart = np.abs(places[:, None] - places[None, :])
    assert kappa_of_table(table, apart > 0) == pytest.approx(0.4842, abs=5e-5)
    assert kappa_of_table(table, apart) == pytest.approx(0.4701, abs=5e-5)
    assert kappa_of_table(table, quadratic_weights([1, 2, 3])) == pytest.approx(0.4501607717, abs=1e-9)


def test_cohens_own_table() -> None:
    # Cohen 1968, table 1: kappa .492, weighted kappa .348.
    shares = [[0.44, 0.07, 0.09], [0.05, 0.20, 0.05], [0.01, 0.03, 0.06]]
    assert kappa_of_table(shares, 1 - np.eye(3)) == pytest.approx(0.491525, abs=1e-6)
    assert kappa_of_table(shares, [[0, 1, 3], [1, 0, 6], [3, 6, 0]]) == pytest.approx(0.347826, abs=1e-6)


def test_the_example_in_the_tests_of_scikit_learn() -> None:
    # sklearn/metrics/tests/test_classification.py, test_cohen_kappa: unweighted, linear, quadratic.
    first, second = [1] * 46 + [2] * 44 + [3] * 10, [1] * 50 + [2] * 40 + [3] * 10
    places = np.arange(3)
    apart = np.abs(places[:, None] - places[None, :])
    table = confusion(first, second, [1, 2, 3])
    assert kappa_of_table(table, apart > 0) == pytest.approx(0.9315, abs=5e-5)
    assert kappa_of_table(table, apart) == pytest.approx(0.9412, abs=5e-5)
    assert quadratic_weighted_kappa(first, second, [1, 2, 3]) == pytest.approx(0.9541, abs=5e-5)


@pytest.mark.parametrize(
    ("seed", "count", "most", "expected"),
    [
        # scikit-learn 1.9.1: cohen_kappa_score(first, second, labels=[1, 2, 3, 4, 5], weights="quadratic")
        (0, 7, 4, 0.2953020134228188),
        (1, 20, 4, 0.6666666666666667),
        (2, 60, 4, 0.7256694970607447),
        (3, 200, 4, 0.6321887005986241),
        (4, 1000, 4, 0.6253618347806724),
        (5, 1000, 5, 0.6738872825520216),
    ],
)
def test_stars_of_chance_agree_as_scikit_learn_says(
    seed: int, count: int, most: int, expected: float
) -> None:
    chance = np.random.default_rng(seed)
    first = chance.integers(1, 6, count)
    second = np.clip(first + chance.integers(-2, 3, count), 1, most)
    assert quadratic_weighted_kappa(first, second) == pytest.approx(expected, abs=1e-12)


stars = st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5)), min_size=1, max_size=40)


@given(stars)
def test_it_is_symmetric_at_most_1_and_1_for_the_same(pairs: list[tuple[int, int]]) -> None:
    first, second = zip(*pairs, strict=True)
    there, back = quadratic_weighted_kappa(first, second), quadratic_weighted_kappa(second, first)
    assert (there is None) == (back is None)
    if there is not None and back is not None:
        assert there == pytest.approx(back)
        assert there <= 1
    same = quadratic_weighted_kappa(first, first)
    assert same is None if len(set(first)) == 1 else same == pytest.approx(1)


def test_what_has_no_answer_has_none() -> None:
    assert quadratic_weighted_kappa([], []) is None
    assert quadratic_weighted_kappa([3, 3], [3, 3]) is None
    with pytest.raises(ValueError, match="none of"):
        quadratic_weighted_kappa([0], [3])
