"""One rule file as text, parsed and checked on its own."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from cattrs.errors import BaseValidationError

from eyeline.judging.checking import Expected, converter, problems_of
from eyeline.judging.mistake import Mistake, Problem, shown_key
from eyeline.terms.toml_lines import KeyPath, key_lines, line_of

Table = TypeVar("Table")
_LINE_OF_MESSAGE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")


@dataclass(frozen=True, slots=True)
class RuleFile:
    """The text of a rule file and the `name` by which people know it, usually its path."""

    name: str
    text: str


@dataclass(frozen=True, slots=True, eq=False)
class Parsed:
    """A file that obeys the grammar: `tree` as tomllib has it, `lines` of all its keys."""

    file: RuleFile
    tree: dict[str, Any]
    lines: dict[KeyPath, int]


def parse(file: RuleFile, kind: type[Table]) -> tuple[Parsed | None, Table | None, list[Mistake]]:
    """`file` as a tree and as the grammar's table `kind`; both None where there are mistakes."""
    try:
        tree = tomllib.loads(file.text)
    except tomllib.TOMLDecodeError as error:
        where = _LINE_OF_MESSAGE.search(str(error))
        line = int(where[1]) if where and where[1] else file.text.count("\n") + 1
        what = _LINE_OF_MESSAGE.sub("", str(error)).strip()
        return None, None, [Mistake(file.name, line, "", f"this is not TOML: {what}")]
    except RecursionError:
        return None, None, [Mistake(file.name, None, "", "arrays or tables are nested too deep")]
    lines = key_lines(file.text)
    try:
        table = converter().structure(tree, kind)
    except (BaseValidationError, Expected) as error:
        return None, None, mistakes_at(problems_of(error), file.name, lines)
    return Parsed(file, tree, lines), table, []


def mistakes_at(problems: Sequence[Problem], file: str, lines: dict[KeyPath, int]) -> list[Mistake]:
    """`problems` with their lines, in the order of the file."""
    found = [
        Mistake(file, line_of(lines, each.key), shown_key(each.key), each.text, each.nearest)
        for each in problems
    ]
    return sorted(found, key=lambda mistake: mistake.line or 0)
