"""Whether the names in a genre's rules are known: measures, their words, keywords, placeholders."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from eyeline.judging.condition import Condition, Some, comparisons_in
from eyeline.terms.measurement import Quantity
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import Problem

_PLACEHOLDER = re.compile(r"\{[^}]*\}?|\}")
_NEVER = Some(())
"""Stands in for a condition that is missing, until the mistake is reported."""

NOT_JUDGED = {
    "rank": "frames are ranked once all are judged",
    "id": "it is a name, neither a number nor a word",
    "hex": "it is a fingerprint, neither a number nor a word",
    "six digits": "it is a code, neither a number nor a word",
}
"""Units of measures that cannot be judged by, and why."""


@dataclass(frozen=True, slots=True)
class Known:
    """The names that rules may use: measures with their words, and keywords."""

    quantities: Mapping[str, Quantity]
    keywords: frozenset[str]


class NameCheck:
    """Holds the names in one genre's rules against those `known`, and collects the `problems`."""

    def __init__(self, known: Known) -> None:
        self.known = known
        self.problems: list[Problem] = []

    def wrong(self, key: KeyPath, text: str, name: str = "", known: Iterable[str] = ()) -> None:
        """Note what is wrong at `key`; `known` are the names among which the nearest to `name` is sought."""
        self.problems.append(Problem(key, text, name, tuple(sorted(known))))

    def needed(self, key: KeyPath, value: float | None) -> float:
        """`value`, or 0 and a problem where nothing states it."""
        if value is None:
            self.wrong(key, "missing key, here and in what this genre inherits")
        return value or 0.0

    def when(self, key: KeyPath, when: Condition | None) -> Condition:
        """The condition at `key`, with its names checked."""
        if when is None:
            self.wrong(key, "missing key when: what is new says when it holds")
            return _NEVER
        self.names((*key, "when"), when)
        return when

    def names(self, key: KeyPath, condition: Condition) -> None:
        """Check every name in `condition`."""
        for each in comparisons_in(condition):
            quantity = self.quantity(key, each.measure)
            if quantity is None or each.comparison == "missing":
                continue
            if bool(quantity.words) != bool(each.words):
                answers = f"in words ({', '.join(quantity.words)})" if quantity.words else "with a number"
                self.wrong(key, f"{each.measure} answers {answers}; {each.shown} does not fit")
            for word in each.words if quantity.words else ():
                self.word(key, word, quantity)

    def quantity(self, key: KeyPath, name: str) -> Quantity | None:
        """The quantity called `name`; None, and a problem, where there is none."""
        quantity = self.known.quantities.get(name)
        if quantity is None:
            self.wrong(key, f"no measure is called {name!r}", name, self.known.quantities)
        elif (why := NOT_JUDGED.get(quantity.unit)) is not None:
            self.wrong(key, f"no rule can speak of {name}: {why}")
        return quantity

    def word(self, key: KeyPath, word: str, quantity: Quantity | None) -> None:
        """Check that the measure may answer `word`."""
        if quantity is not None and quantity.words and word not in quantity.words:
            text = f"{quantity.name} never answers {word!r}"
            self.wrong(key, text, word, quantity.words)

    def keyword(self, key: KeyPath, word: str) -> None:
        """Check that the vocabulary has `word`."""
        if word not in self.known.keywords:
            self.wrong(key, f"{word!r} is not in the vocabulary", word, self.known.keywords)

    def placeholders(self, key: KeyPath, says: str, allowed: tuple[str, ...]) -> None:
        """Check that a sentence asks only for what is `allowed` in it."""
        for each in _PLACEHOLDER.findall(says):
            if each not in allowed:
                self.wrong(key, f"{each} cannot be filled in; known are {', '.join(allowed) or 'none'}")


def measures_in(condition: Condition | None) -> set[str]:
    """The measures of which `condition` speaks; none without one."""
    return set() if condition is None else {each.measure for each in comparisons_in(condition)}
