"""Measurements of many photos as columns, which is how they are judged."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.terms.measurement import Measurement, Quantity

MISSING_WORD = ""
UNSURE = "unsure"
"""The word of a measure that will not commit itself; rules that depend on it stay out."""


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """One array per measure. An array of length 1 stands for the same value in all `count` rows.

    `numbers`: float64, NaN = missing, a bool is 0 or 1. `words`: str, "" = missing.
    """

    count: int
    numbers: Mapping[str, NDArray[np.float64]]
    words: Mapping[str, NDArray[np.str_]]

    def number(self, name: str) -> NDArray[np.float64]:
        """Column of a numeric measure; all missing where nobody took it."""
        return self.numbers.get(name, _NO_NUMBER)

    def word(self, name: str) -> NDArray[np.str_]:
        """Column of a measure that answers in words; all missing where nobody took it."""
        return self.words.get(name, _NO_WORD)

    def replaced(self, count: int, columns: Mapping[str, NDArray[np.generic]]) -> Columns:
        """The same with `columns` (each of length `count`) in place of those of their names."""
        numbers, words = dict(self.numbers), dict(self.words)
        for name, column in columns.items():
            if column.dtype.kind == "U":
                words[name] = column.astype(np.str_, copy=False)
            else:
                numbers[name] = column.astype(np.float64, copy=False)
        return Columns(count, numbers, words)


_NO_NUMBER = np.array([np.nan])
_NO_WORD = np.array([MISSING_WORD])


def columns_of(photos: Sequence[Mapping[str, Measurement]], quantities: Iterable[Quantity]) -> Columns:
    """Columns of `photos`, each a mapping from the measure's name to its Measurement."""
    numbers: dict[str, NDArray[np.float64]] = {}
    words: dict[str, NDArray[np.str_]] = {}
    for quantity in quantities:
        taken = [photo.get(quantity.name) for photo in photos]
        values = [None if each is None else each.value for each in taken]
        if quantity.words:
            words[quantity.name] = np.array([MISSING_WORD if v is None else str(v) for v in values], np.str_)
        else:
            # A text where a number was declared (ids such as `series`) is no column to judge by.
            numbers[quantity.name] = np.array(
                [np.nan if v is None or isinstance(v, str) else v for v in values], np.float64
            )
    return Columns(len(photos), numbers, words)
