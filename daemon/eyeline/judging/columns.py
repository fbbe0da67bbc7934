"""Measurements of many photos as columns, which is how they are judged."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from eyeline.terms.measurement import Measurement, Quantity, Value

MISSING_WORD = -1
UNSURE = "unsure"
"""The word of a measure that will not commit itself; rules that depend on it stay out."""


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """One array per measure. An array of length 1 stands for the same value in all `count` rows.

    `numbers`: float64, NaN = missing, a bool is 0 or 1. `words`: int8, the place of the word in
    `spellings` of that measure, -1 = missing.
    """

    count: int
    numbers: Mapping[str, NDArray[np.float64]]
    words: Mapping[str, NDArray[np.int8]]
    spellings: Mapping[str, tuple[str, ...]]

    def number(self, name: str) -> NDArray[np.float64]:
        """Column of a numeric measure; all missing where nobody took it."""
        return self.numbers.get(name, _NO_NUMBER)

    def word(self, name: str) -> NDArray[np.int8]:
        """Column of a measure that answers in words; all missing where nobody took it."""
        return self.words.get(name, _NO_WORD)

    def places(self, name: str, words: Iterable[str]) -> tuple[int, ...]:
        """The numbers that stand for `words` in the column of measure `name`."""
        spelling = self.spellings.get(name, ())
        return tuple(spelling.index(word) for word in words if word in spelling)

    def value(self, name: str, row: int) -> Value:
        """What was measured in `row`: a number (bools as 0 or 1), a word, or None."""
        if name in self.words:
            place = int(at(self.words[name], row))
            return None if place == MISSING_WORD else self.spellings[name][place]
        number = at(self.number(name), row)
        return None if number != number else number

    def replaced(
        self,
        count: int,
        columns: Mapping[str, NDArray[np.float64] | NDArray[np.int8]],
        spellings: Mapping[str, tuple[str, ...]],
    ) -> Columns:
        """The same with `columns`, each of length `count`, in place of those of their names.

        Those named in `spellings` answer in words.
        """
        numbers, words = dict(self.numbers), dict(self.words)
        for name, column in columns.items():
            if name in spellings:
                words[name] = column.astype(np.int8, copy=False)
            else:
                numbers[name] = column.astype(np.float64, copy=False)
        return Columns(count, numbers, words, {**self.spellings, **spellings})

    def only(self, row: int) -> Columns:
        """The columns of one row alone."""
        return self.rows([row])

    def rows(self, rows: Sequence[int]) -> Columns:
        """The columns of some rows."""
        return Columns(
            len(rows),
            {name: _chosen(column, rows) for name, column in self.numbers.items()},
            {name: _chosen(column, rows) for name, column in self.words.items()},
            self.spellings,
        )

    def repeated(self, times: int, names: Iterable[str]) -> Columns:
        """The columns `names` with every row so many times."""
        wanted = frozenset(names)
        return Columns(
            self.count * times,
            {name: _times(self.numbers[name], times) for name in wanted.intersection(self.numbers)},
            {name: _times(self.words[name], times) for name in wanted.intersection(self.words)},
            self.spellings,
        )


def joined(parts: Sequence[Columns]) -> Columns:
    """The rows of all `parts`, which hold the same measures, one after the other."""
    first = parts[0]
    if len(parts) == 1:
        return first
    return Columns(
        sum(each.count for each in parts),
        {
            name: np.concatenate([np.broadcast_to(each.numbers[name], each.count) for each in parts])
            for name in first.numbers
        },
        {
            name: np.concatenate([np.broadcast_to(each.words[name], each.count) for each in parts])
            for name in first.words
        },
        first.spellings,
    )


_NO_NUMBER = np.array([np.nan])
_NO_WORD = np.array([MISSING_WORD], np.int8)


Kind = TypeVar("Kind", bound=np.generic)


def _chosen(column: NDArray[Kind], rows: Sequence[int]) -> NDArray[Kind]:
    return column[rows] if len(column) > 1 else column


def _times(column: NDArray[Kind], times: int) -> NDArray[Kind]:
    return np.repeat(column, times) if len(column) > 1 else column


def at(column: NDArray[np.generic], row: int) -> float:
    """The value of `row` in a column that may stand for all rows with length 1."""
    return float(column[row if len(column) > 1 else 0])


def columns_of(photos: Sequence[Mapping[str, Measurement]], quantities: Iterable[Quantity]) -> Columns:
    """Columns of `photos`, each a mapping from the measure's name to its Measurement.

    A word that its quantity does not list, or a text where a number was declared (ids such as
    `series`), is nothing to judge by and counts as missing.
    """
    numbers: dict[str, NDArray[np.float64]] = {}
    words: dict[str, NDArray[np.int8]] = {}
    spellings: dict[str, tuple[str, ...]] = {}
    for quantity in quantities:
        name = quantity.name
        values = [None if (taken := photo.get(name)) is None else taken.value for photo in photos]
        if quantity.words:
            places = {word: place for place, word in enumerate(quantity.words)}
            words[name] = np.array([places.get(value, MISSING_WORD) for value in values], np.int8)  # type: ignore[arg-type]
            spellings[name] = quantity.words
        else:
            numbers[name] = np.array(
                [np.nan if value is None or isinstance(value, str) else value for value in values], np.float64
            )
    return Columns(len(photos), numbers, words, spellings)
