"""How a grammar is written down: dataclasses whose fields say what they mean and what may stand there.

A table of TOML is a frozen dataclass. All its keys may be absent (None, or an empty dict or list), for the
converter to build what is left of a file with mistakes. A field reads

    workers: Annotated[Workers | None, "how many photos are measured at a time", Default("4")] = None

where `Workers = Annotated[int, Kind(...)]`. Converter (`structure`), JSON Schema (`schema`) and the key
table of the documentation (`key_table`) are made from it, so they cannot differ.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from typing import Any, get_args, get_origin

from eyeline.toml_files.mistake import Problem
from eyeline.toml_files.values import is_number, is_whole_number, named


class Expected(ValueError):
    """A value is of the wrong kind. `problems` are relative to the value's own key."""

    def __init__(self, *problems: Problem) -> None:
        self.problems = problems
        super().__init__("; ".join(each.text for each in problems))


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """What may stand at a key: in words, as JSON Schema, and how it is read.

    `read` returns the value as eyeline uses it. It raises ValueError where the value is not what `expects`
    says, or Expected where more can be said.
    """

    expects: str
    schema: Mapping[str, Any]
    read: Callable[[Any], Any]

    def structured(self, value: Any, _: Any = None) -> Any:
        """`value`, read. Raises Expected."""
        try:
            return self.read(value)
        except Expected:
            raise
        except ValueError as error:
            raise expected(self.expects, value) from error


@dataclass(frozen=True, slots=True, eq=False)
class Short:
    """Marks a table for which the value of its one `key` may stand: `workers = 4` for `workers.count = 4`."""

    key: str


def shortened(annotation: Any) -> tuple[type, Key] | None:
    """The table that `annotation` names, and the key whose value may stand for it; None for all else."""
    if get_origin(annotation) is not typing.Annotated:
        return None
    table, *marks = get_args(annotation)
    for short in marks:
        if isinstance(short, Short):
            return table, next(key for key in keys_of(table) if key.name == short.key)
    return None


def expected(what: str, found: Any) -> Expected:
    """The refusal of `found` where `what` belongs."""
    return Expected(Problem((), f"expected {what}, found {named(found)}"))


def check(holds: Callable[[Any], bool], make: Callable[[Any], Any] = lambda value: value) -> Any:
    """A `read`: what `make` makes of a value for which `holds` is true, else ValueError."""

    def read(value: Any) -> Any:
        if not holds(value):
            raise ValueError
        return make(value)

    return read


def between(low: float, high: float) -> Kind:
    """A number from `low` to `high`, both included."""
    return Kind(
        f"a number from {low:g} to {high:g}",
        {"type": "number", "minimum": low, "maximum": high},
        check(lambda value: is_number(value) and low <= value <= high, float),
    )


def whole_between(low: int, high: int) -> Kind:
    """A whole number from `low` to `high`, both included."""
    return Kind(
        f"a whole number from {low} to {high}",
        {"type": "integer", "minimum": low, "maximum": high},
        check(lambda value: is_whole_number(value) and low <= value <= high),
    )


def one_of(*words: str) -> Kind:
    """One of a few words."""
    return Kind(" or ".join(f'"{word}"' for word in words), {"enum": [*words]}, check(words.__contains__))


TEXT = Kind("a text in quotes", {"type": "string"}, check(lambda value: isinstance(value, str)))
LINE = Kind(
    "text on one line",
    {"type": "string", "pattern": r"^[^\u0000-\u001f\u007f]*$"},
    check(lambda value: isinstance(value, str) and (value == "" or value.isprintable())),
)
PLAIN: Mapping[type, Kind] = {
    str: TEXT,
    bool: Kind("true or false", {"type": "boolean"}, check(lambda value: isinstance(value, bool))),
    int: Kind("a whole number", {"type": "integer"}, check(is_whole_number)),
    float: Kind("a number", {"type": "number"}, check(is_number, float)),
}
"""What may stand where the grammar says no more than a type of Python."""


@dataclass(frozen=True, slots=True)
class Default:
    """What holds where a key is absent, in words."""

    words: str


REQUIRED = Default("required")


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table: `kind` is its type without None and without meaning and default."""

    name: str
    kind: Any
    meaning: str
    default: Default | None = None

    @property
    def description(self) -> str:
        """Meaning and default."""
        if self.default is None or self.default is REQUIRED:
            return self.meaning
        return f"{self.meaning} (default: {self.default.words})"


@cache
def keys_of(table: type) -> tuple[Key, ...]:
    """The keys of a table of the grammar, in their order."""
    hints = typing.get_type_hints(table, include_extras=True)
    found = []
    for each in fields(table):
        kind, meaning, *more = get_args(hints[each.name])
        if get_origin(kind) in (types.UnionType, typing.Union):
            kind = next(part for part in get_args(kind) if part is not types.NoneType)
        found.append(Key(each.name, kind, meaning, next(iter(more), None)))
    return tuple(found)


def kind_of(annotation: Any) -> Kind | None:
    """The Kind that `annotation` names; None for a table, or a list or dict of something."""
    if get_origin(annotation) is typing.Annotated:
        return next((part for part in get_args(annotation)[1:] if isinstance(part, Kind)), None)
    return PLAIN.get(annotation) if isinstance(annotation, type) else None


def is_table(annotation: Any) -> bool:
    """Whether `annotation` is a table of the grammar."""
    return isinstance(annotation, type) and is_dataclass(annotation)


def stated(table: Any) -> dict[str, Any]:
    """The keys of a structured table that its file states."""
    return {
        key.name: value
        for key in keys_of(table.__class__)
        if (value := getattr(table, key.name)) not in (None, {}, [])
    }
