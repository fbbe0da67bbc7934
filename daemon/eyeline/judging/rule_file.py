"""One rule file as text, parsed and checked on its own."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from cattrs.errors import BaseValidationError

from eyeline.judging.checking import Expected, converter, problems_of
from eyeline.judging.grammar import WORD_SECTIONS
from eyeline.toml_files.lines import KeyPath, key_lines, line_of
from eyeline.toml_files.mistake import Mistake, Problem, shown_key

Table = TypeVar("Table")
_LINE_OF_MESSAGE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")


@dataclass(frozen=True, slots=True)
class RuleFile:
    """The text of a rule file and the `name` by which people know it, usually its path."""

    name: str
    text: str


@dataclass(frozen=True, slots=True, eq=False)
class Parsed:
    """A file that obeys the grammar: `tree` as tomllib has it, `lines` of all its keys.

    `pruned`: what was cut off since it did not; such a file is good for finding its other mistakes only.
    """

    file: RuleFile
    tree: dict[str, Any]
    lines: dict[KeyPath, int]
    pruned: tuple[KeyPath, ...] = ()


def parse(file: RuleFile, kind: type[Table]) -> tuple[Parsed | None, Table | None, list[Mistake]]:
    """`file` as a tree and as the grammar's table `kind`, and its mistakes against the grammar.

    Where there are any, tree and table are what is left without the faulty keys, or None where nothing is.
    """
    try:
        tree = tomllib.loads(file.text)
    except tomllib.TOMLDecodeError as error:
        where = _LINE_OF_MESSAGE.search(str(error))
        line = int(where[1]) if where and where[1] else file.text.count("\n") + 1
        what = _LINE_OF_MESSAGE.sub("", str(error)).strip()
        return None, None, [Mistake(file.name, line, "", f"this is not TOML: {what}")]
    except ValueError:  # of tomllib's own errors the only one without a line: Python's limit of digits
        return None, None, [Mistake(file.name, None, "", "a number has thousands of digits")]
    except RecursionError:
        return None, None, [Mistake(file.name, None, "", "arrays or tables are nested too deep")]
    lines = key_lines(file.text)
    if beyond := [Problem(key, "a whole number has more than 64 bits") for key in _beyond_toml(tree, ())]:
        return None, None, mistakes_at(beyond, file.name, lines)
    try:
        table = converter().structure(tree, kind)
    except (BaseValidationError, Expected) as error:
        problems = problems_of(error)
        wrong = mistakes_at(problems, file.name, lines)
        pruned = tuple(dict.fromkeys(_whole_value(each.key) for each in problems))
        for key in pruned:
            _cut(tree, key)
        try:
            table = converter().structure(tree, kind)
        except (BaseValidationError, Expected):
            return None, None, wrong
        return Parsed(file, tree, lines, pruned), table, wrong
    return Parsed(file, tree, lines), table, []


def _beyond_toml(value: Any, key: KeyPath) -> Iterator[KeyPath]:
    """Keys of whole numbers that TOML 1.0 does not know: it ends at 64 bits, Python does not."""
    if isinstance(value, dict):
        for name, each in value.items():
            yield from _beyond_toml(each, (*key, name))
    elif isinstance(value, list):
        for each in value:
            yield from _beyond_toml(each, key)
    elif isinstance(value, int) and not -(2**63) <= value < 2**63:
        yield key


def _whole_value(key: KeyPath) -> KeyPath:
    """The key of the value that a fault at `key` spoils: all of a condition, all of an array."""
    for place, part in enumerate(key):
        if isinstance(part, int):
            return key[:place]
        if part == "when" or (place == 1 and key[0] in WORD_SECTIONS):
            return key[: place + 1]
    return key


def _cut(tree: dict[str, Any], key: KeyPath) -> None:
    """Take `key` out of `tree`, if it is there."""
    *tables, name = key or ("",)
    inner: Any = tree
    for part in tables:
        inner = inner.get(part) if isinstance(inner, dict) else None
    if isinstance(inner, dict):
        inner.pop(name, None)


def mistakes_at(problems: Sequence[Problem], file: str, lines: dict[KeyPath, int]) -> list[Mistake]:
    """`problems` with their lines, in the order of the file."""
    found = [
        Mistake(file, line_of(lines, each.key), shown_key(each.key), each.text, each.nearest)
        for each in problems
    ]
    return sorted(found, key=lambda mistake: mistake.line or 0)
