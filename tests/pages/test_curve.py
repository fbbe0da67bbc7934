"""A criterion as a small curve, by hand-made ideals and by the desirability function itself."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.judging.desirability import target_range
from eyeline.judging.rulebook import Ideal
from eyeline.pages.curve import BASE, TOP, WIDTH, curve

BETWEEN = Ideal("headroom", -0.03, 0.06, 0.12, 0.34)
AT_LEAST = Ideal("eyes_open", 0.1, 0.8, inf, inf)
AT_MOST = Ideal("glare", -inf, -inf, 0.05, 0.5)
WORDS = Ideal("gaze", words=(("camera", 1.0), ("left", 0.7)), otherwise=0.1)


@given(st.sampled_from([BETWEEN, AT_LEAST, AT_MOST]), st.floats(-1, 2))
def test_the_dot_is_as_high_as_the_value_is_desirable(ideal: Ideal, value: float) -> None:
    drawn = curve(ideal, value)
    mark = float(target_range(value, ideal.low, ideal.ideal_low, ideal.ideal_high, ideal.high))
    assert drawn.dot == pytest.approx(BASE - mark * (BASE - TOP), abs=0.06)
    assert drawn.needle is not None
    assert 0 <= drawn.needle <= WIDTH


@given(st.sampled_from([BETWEEN, AT_LEAST, AT_MOST]), st.floats(-1, 2), st.floats(-1, 2))
def test_a_larger_value_never_stands_further_left(ideal: Ideal, one: float, other: float) -> None:
    drawn = curve(ideal, None, (one, other))
    assert (drawn.x(one) <= drawn.x(other)) == (one <= other) or drawn.x(one) == drawn.x(other)


def test_the_foot_is_the_ideal() -> None:
    drawn = curve(BETWEEN, 0.16)
    assert drawn.foot == (drawn.x(0.06), drawn.x(0.12))
    assert curve(AT_LEAST, 1.0).foot[1] == WIDTH
    assert curve(AT_MOST, 0.0).foot[0] == 0


def test_words_are_steps_and_an_unnamed_one_stands_on_the_last() -> None:
    assert curve(WORDS, "camera").dot == TOP
    last = curve(WORDS, "down")
    assert last.needle is not None
    assert last.needle > 2 * WIDTH / 3
    assert curve(WORDS, None).needle is None


def test_what_could_not_be_measured_has_no_needle() -> None:
    assert curve(BETWEEN, None).needle is None
