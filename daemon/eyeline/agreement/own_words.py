"""Words of eyeline's that the photographer took out or set himself, and the measure that decides them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.columns import Columns
from eyeline.judging.condition import Comparison, Condition, comparisons_in
from eyeline.judging.rulebook import Rulebook

LEAST_FRAMES = 5
"""Frames on which a word was taken out, or set, before that is told: one or two are about those frames."""

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class WordHabit:
    """A word, by its name in rule files: how often eyeline's was taken `out` or `left`, and how often it was
    `added` where eyeline gave none. `rules`: when the genre gives it. `out_span`, `left_span`: least
    and largest value of the one number that decides it, None where there is no such. `limit`: parts those
    taken out from those left, None where nothing does.
    """

    word: str
    out: int
    left: int
    added: int
    rules: tuple[Condition, ...]
    out_span: Span | None = None
    left_span: Span | None = None
    limit: float | None = None

    @property
    def measures(self) -> tuple[str, ...]:
        """The measures that decide it."""
        found = [test.measure for rule in self.rules for test in comparisons_in(rule)]
        return tuple(dict.fromkeys(found))


def word_habit(
    rulebook: Rulebook,
    word: str,
    columns: Columns,
    out: Sequence[int],
    left: Sequence[int],
    added: Sequence[int],
) -> WordHabit | None:
    """What rows of `columns` say about `word`; None where they are fewer than LEAST_FRAMES."""
    if max(len(out), len(added)) < LEAST_FRAMES:
        return None
    rules = tuple(each.when for each in rulebook.keywords if each.word == word) + tuple(
        each.when for each in rulebook.faults if each.keyword == word
    )
    plain = WordHabit(word, len(out), len(left), len(added), rules)
    test = rules[0] if len(rules) == 1 else None
    if not isinstance(test, Comparison) or test.words or min(len(out), len(left)) < LEAST_FRAMES:
        return plain
    gone, stood = (_numbers(columns, test, rows) for rows in (out, left))
    if not len(gone) or not len(stood):
        return plain
    limit = None
    if test.comparison in ("below", "at_most") and stood.max() < gone.min():
        limit = float(stood.max() + gone.min()) / 2
    elif test.comparison in ("above", "at_least") and gone.max() < stood.min():
        limit = float(gone.max() + stood.min()) / 2
    spans = [(float(each.min()), float(each.max())) for each in (gone, stood)]
    return WordHabit(word, len(out), len(left), len(added), rules, spans[0], spans[1], limit)


def _numbers(columns: Columns, test: Comparison, rows: Sequence[int]) -> NDArray[np.float64]:
    values = np.broadcast_to(columns.number(test.measure), columns.count)[np.array(rows, np.intp)]
    values = values[np.isfinite(values)]
    return np.abs(values) if test.ignore_sign else values
