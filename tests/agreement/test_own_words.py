"""Words taken out or set by the photographer: told from some frames on, a limit where it follows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from eyeline.agreement.own_words import LEAST_FRAMES, WordHabit, word_habit
from eyeline.judging.columns import Columns
from eyeline.judging.condition import Comparison, Every, Not
from eyeline.judging.rulebook import Keyword, Rulebook
from tests.judging.shipped import rules

TEST = Comparison("eyes_open", "below", low=0.5, shown="0.5")


@pytest.fixture(scope="module")
def genre() -> Rulebook:
    plain = rules().genre("corporate headshot")
    return replace(plain, faults=(), keywords=(replace(plain.keywords[0], word="blink", when=TEST),))


def with_test(genre: Rulebook, keyword: Keyword) -> Rulebook:
    return replace(genre, keywords=(keyword,))


def habit(genre: Rulebook, values: list[float], out: int, added: int = 0) -> WordHabit | None:
    columns = Columns(len(values), {"eyes_open": np.array(values)}, {}, {})
    rows = list(range(len(values)))
    return word_habit(genre, "blink", columns, rows[:out], rows[out:], rows[:added])


def test_values_that_part_give_a_limit_between_them(genre: Rulebook) -> None:
    found = habit(genre, [0.40, 0.42, 0.44, 0.46, 0.48, 0.10, 0.12, 0.14, 0.16, 0.20], 5)
    assert found is not None and found.limit == pytest.approx(0.30)
    assert (found.out_span, found.left_span) == ((0.40, 0.48), (0.10, 0.20))


def test_values_that_mix_give_none(genre: Rulebook) -> None:
    found = habit(genre, [0.10, 0.42, 0.44, 0.46, 0.48, 0.40, 0.12, 0.14, 0.16, 0.20], 5)
    assert found is not None and found.limit is None and found.measures == ("eyes_open",)


def test_a_rule_of_several_numbers_names_them_and_gives_no_limit(genre: Rulebook) -> None:
    other = Comparison("people", "above", low=1.0)
    both = with_test(genre, replace(genre.keywords[0], when=Every((TEST, other))))
    values = [0.40, 0.42, 0.44, 0.46, 0.48, 0.10, 0.12, 0.14, 0.16, 0.20]
    found = habit(both, values, 5)
    assert found is not None and found.measures == ("eyes_open", "people") and found.limit is None
    neither = with_test(genre, replace(genre.keywords[0], when=Not(TEST)))
    found = habit(neither, values, 5)
    assert found is not None and found.measures == ("eyes_open",) and found.limit is None


def test_few_frames_say_nothing(genre: Rulebook) -> None:
    assert habit(genre, [0.4] * 20, LEAST_FRAMES - 1) is None
    found = habit(genre, [0.6] * 20, 0, added=LEAST_FRAMES)
    assert found is not None and (found.out, found.added) == (0, LEAST_FRAMES)
