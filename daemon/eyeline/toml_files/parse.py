"""A person's TOML text as a tree, as a table of its grammar, and everything that is wrong with it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from eyeline.toml_files.bounds import excess
from eyeline.toml_files.lines import KeyPath, key_lines
from eyeline.toml_files.mistake import Mistake, Problem, mistakes_at
from eyeline.toml_files.structure import cut, structured

Table = TypeVar("Table")
_LINE_OF_MESSAGE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")


@dataclass(slots=True, eq=False)
class Parsed(Generic[Table]):
    """The text called `file`: `tree` as tomllib has it, `table` of its grammar, `lines` of all its keys.

    `problems`: what is wrong, in any order; who knows more may add some. `pruned`: the keys that were cut
    off since the grammar forbids them; tree and table are what is left, good for finding what else is wrong.
    """

    file: str
    tree: dict[str, Any]
    table: Table
    lines: dict[KeyPath, int]
    problems: list[Problem] = field(default_factory=list)
    pruned: tuple[KeyPath, ...] = ()

    def wrong(self, key: KeyPath, what: str, name: str = "", known: tuple[str, ...] = ()) -> None:
        """Note that `what` is wrong at `key`; `name` is not among the names `known`, if that is it."""
        self.problems.append(Problem(key, what, name, known))

    @property
    def mistakes(self) -> list[Mistake]:
        """All problems in the order of their lines."""
        return mistakes_at(self.problems, self.file, self.lines)


class NoToml(Exception):
    """A text that is no TOML, or too much of it: the one `mistake` that says so."""

    def __init__(self, file: str, line: int | None, what: str) -> None:
        self.mistake = Mistake(file, line, "", what)
        super().__init__(str(self.mistake))


def parse(file: str, text: str, kind: type[Table]) -> Parsed[Table]:
    """`text`, called `file`, as the grammar's table `kind`, in time linear with its length. Raises NoToml."""
    tree = _tree(file, text)
    lines = key_lines(text)
    beyond = list(_beyond_toml(tree, ()))
    for key in beyond:
        cut(tree, key)
    table, problems, spoilt = structured(tree, kind)
    too_large = [Problem(key, "a whole number has more than 64 bits") for key in beyond]
    return Parsed(file, tree, table, lines, [*too_large, *problems], (*beyond, *spoilt))


def _tree(file: str, text: str) -> dict[str, Any]:
    if (too_much := excess(text)) is not None:
        raise NoToml(file, *too_much)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        where = _LINE_OF_MESSAGE.search(str(error))
        line = int(where[1]) if where and where[1] else text.count("\n") + 1
        what = _LINE_OF_MESSAGE.sub("", str(error)).strip()
        raise NoToml(file, line, f"this is not TOML: {what}") from error
    except (
        ValueError
    ) as error:  # of tomllib's own errors the only one without a line: Python's limit of digits
        raise NoToml(file, None, "a number has thousands of digits") from error


def _beyond_toml(value: Any, key: KeyPath) -> Iterator[KeyPath]:
    """Keys of whole numbers that TOML 1.0 does not know: it ends at 64 bits, Python does not."""
    if isinstance(value, dict):
        for name, each in value.items():
            yield from _beyond_toml(each, (*key, name))
    elif isinstance(value, list):
        for place, each in enumerate(value):
            yield from _beyond_toml(each, (*key, place))
    elif isinstance(value, int) and not -(2**63) <= value < 2**63:
        yield key
