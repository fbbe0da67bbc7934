"""What own crops do: bounds of a median against SciPy, and which ranges follow."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import quantile_test

from eyeline.agreement.own_crops import CERTAINTY, LEAST_SERIES, crop_habits, median_bounds
from eyeline.judging.columns import Columns
from eyeline.judging.rulebook import Rulebook
from tests.judging.shipped import rules

MEASURES = ("eye_line",)


@pytest.fixture(scope="module")
def genre() -> Rulebook:
    return rules().genre("corporate headshot")


def columns(**numbers: list[float]) -> Columns:
    count = len(next(iter(numbers.values())))
    return Columns(count, {name: np.array(each) for name, each in numbers.items()}, {}, {})


@pytest.mark.parametrize("count", [8, 9, 14, 31, 60])
def test_bounds_of_a_median_are_those_of_scipy(count: int) -> None:
    values = np.random.default_rng(count).normal(size=count)
    theirs = quantile_test(values, p=0.5).confidence_interval(confidence_level=CERTAINTY)
    assert median_bounds(values, CERTAINTY) == pytest.approx((theirs.low, theirs.high))


def test_the_least_number_of_series_is_the_least_that_has_bounds() -> None:
    for count in range(1, 12):
        assert np.isfinite(median_bounds(range(count), CERTAINTY)).all() == (count >= LEAST_SERIES)


def test_eyes_held_lower_than_the_ideal_move_it_there(genre: Rulebook) -> None:
    criterion = next(each for each in genre.criteria if each.name == "eye_line")
    ideal = criterion.ideals[0]
    held = [ideal.ideal_high + 0.05 + 0.001 * each for each in range(9)]
    (habit,) = crop_habits(genre, columns(eye_line=held), np.arange(9), MEASURES)
    assert (habit.crops, habit.series, habit.median) == (9, 9, held[4])
    assert habit.is_elsewhere
    low, ideal_low, ideal_high, high = habit.moved.after
    assert (ideal_low + ideal_high) / 2 == pytest.approx(held[4], abs=0.001), "its middle is their middle"
    assert ideal_high - ideal_low == pytest.approx(ideal.ideal_high - ideal.ideal_low, abs=0.001)
    assert high - low == pytest.approx(ideal.high - ideal.low, abs=0.001)


def test_crops_about_the_ideal_change_nothing(genre: Rulebook) -> None:
    ideal = next(each for each in genre.criteria if each.name == "eye_line").ideals[0]
    held = [*np.linspace(ideal.ideal_high - 0.02, ideal.ideal_high + 0.02, 12)]
    (habit,) = crop_habits(genre, columns(eye_line=held), np.arange(12), MEASURES)
    assert not habit.is_elsewhere


def test_frames_of_one_series_are_one_opinion(genre: Rulebook) -> None:
    assert crop_habits(genre, columns(eye_line=[0.6] * 40), np.arange(40) // 8, MEASURES) == ()
