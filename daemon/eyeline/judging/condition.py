"""Conditions of rule files: a measure, a comparison, a value; all, any, not. No formula language."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.columns import MISSING_WORD, UNSURE, Columns

Mask = NDArray[np.bool_]
COMPARISONS = ("is", "is_not", "below", "above", "at_least", "at_most", "between", "missing")


@dataclass(frozen=True, slots=True)
class Comparison:
    """One measure against one value.

    `words`: for a measure that answers in words, the words that are meant. `low`: the number (1 for
    true, 0 for false); `high`: the upper end of `between`. `ignore_sign`: compare the size of a
    signed number. `shown`: the value as the rule file has it.
    """

    measure: str
    comparison: str
    words: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 0.0
    ignore_sign: bool = False
    shown: str = ""


@dataclass(frozen=True, slots=True)
class Every:
    """Holds when all parts hold."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Some:
    """Holds when at least one part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Not:
    """Holds when the part certainly does not."""

    part: Condition


Condition = Comparison | Every | Some | Not


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """Where a condition certainly holds (`yes`) and certainly does not (`no`); neither = not known.

    Three-valued (Kleene): what is missing or unsure never makes a condition hold, nor its negation.
    """

    yes: Mask
    no: Mask


def truth(condition: Condition, columns: Columns) -> Truth:
    """Truth of `condition` for each row; arrays of length 1 where all rows agree."""
    match condition:
        case Every(parts):
            yes, no = np.array([True]), np.array([False])
            for each in (truth(part, columns) for part in parts):
                yes, no = yes & each.yes, no | each.no
            return Truth(yes, no)
        case Some(parts):
            yes, no = np.array([False]), np.array([True])
            for each in (truth(part, columns) for part in parts):
                yes, no = yes | each.yes, no & each.no
            return Truth(yes, no)
        case Not(part):
            inner = truth(part, columns)
            return Truth(inner.no, inner.yes)
        case Comparison():
            return _compare(condition, columns)


def _compare(test: Comparison, columns: Columns) -> Truth:
    if test.comparison == "missing":
        in_words = test.measure in columns.words
        gone = (
            columns.words[test.measure] == MISSING_WORD
            if in_words
            else np.isnan(columns.number(test.measure))
        )
        return Truth(gone, ~gone) if test.low else Truth(~gone, gone)
    if test.words:
        return _compare_word(test, columns)
    number = columns.number(test.measure)
    if test.ignore_sign:
        number = np.abs(number)
    holds = _NUMERIC[test.comparison](number, test.low, test.high)
    missing = np.isnan(number)
    return Truth(holds & ~missing, ~(holds | missing))


_NUMERIC: dict[str, Callable[[NDArray[np.float64], float, float], NDArray[np.bool_]]] = {
    "is": lambda number, low, _: number == low,
    "is_not": lambda number, low, _: number != low,
    "below": lambda number, low, _: number < low,
    "above": lambda number, low, _: number > low,
    "at_least": lambda number, low, _: number >= low,
    "at_most": lambda number, low, _: number <= low,
    "between": lambda number, low, high: (number >= low) & (number <= high),
}


def _compare_word(test: Comparison, columns: Columns) -> Truth:
    word = columns.word(test.measure)
    known = word != MISSING_WORD
    if UNSURE not in test.words:
        for place in columns.places(test.measure, (UNSURE,)):
            known &= word != place
    holds = np.zeros(len(word), dtype=np.bool_)
    for place in columns.places(test.measure, test.words):
        holds |= word == place
    if test.comparison == "is_not":
        holds = ~holds
    return Truth(holds & known, ~holds & known)


def comparisons_in(condition: Condition) -> tuple[Comparison, ...]:
    """All comparisons within `condition`."""
    match condition:
        case Comparison():
            return (condition,)
        case Not(part):
            return comparisons_in(part)
        case Every(parts) | Some(parts):
            return tuple(each for part in parts for each in comparisons_in(part))


def in_words(condition: Condition) -> str:
    """The condition as a phrase, for messages and listings."""
    match condition:
        case Every(parts):
            return " and ".join(in_words(part) for part in parts)
        case Some(parts):
            return " or ".join(in_words(part) for part in parts)
        case Not(part):
            return f"not ({in_words(part)})"
        case Comparison(measure=measure, comparison=comparison):
            if comparison == "missing":
                return f"{measure} is {'missing' if condition.low else 'there'}"
            size = "size of " if condition.ignore_sign else ""
            verb = comparison if comparison.startswith("is") else f"is {comparison}"
            return f"{size}{measure} {verb.replace('_', ' ')} {condition.shown}"
