"""Which mistakes of a rule file to mend first, each told where its author wrote."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from eyeline.judging.grammar import GenreTable
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import INCOMPLETE
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import Mistake, shown_key
from eyeline.toml_files.parse import NoToml, Parsed, parse

PARENT = "portrait"
"""What a genre of a sitter inherits as a rule, directly or by a genre that does."""


def causes(file: RuleFile, mistakes: Sequence[Mistake], known: Sequence[str]) -> tuple[Mistake, ...]:
    """Those of `mistakes`, all due to `file`, that are to be mended first; the others follow from them.

    `known`: the names of all genres without it. What is wrong in a shipped file only since this one changes
    a part of the same table is told of this one's table.
    """
    try:
        parsed = parse(file.name, file.text, GenreTable)
    except NoToml:
        return tuple(mistakes)
    said = {(each.file, each.line, each.key, each.problem) for each in mistakes}
    once = [each for each in mistakes if (each.file, each.line, each.key, _without_heir(each)) not in said]
    first = [each for each in (_as_written(one, parsed) for one in once) if each.file == file.name]
    name = parsed.table.name
    if name is not None and name not in known and parsed.table.inherits is None:
        first = list(_without_parent(first, file.name, parsed))
    return tuple(first) or tuple(mistakes)


def _without_heir(mistake: Mistake) -> str:
    return mistake.problem.rpartition(" (in ")[0]


def _as_written(mistake: Mistake, parsed: Parsed[GenreTable]) -> Mistake:
    """`mistake` at the table of this file that changes a part of the one in which it was found."""
    tables = [key for key in parsed.lines if len(key) > 1 and _holds(key, mistake.key)]
    if mistake.file == parsed.file or not tables:
        return mistake
    table = max(tables, key=len)
    other = f"{Path(mistake.file).name}, line {mistake.line}"
    text = f"{mistake.problem}; what is not said here stands in {other}"
    return replace(mistake, file=parsed.file, line=parsed.lines[table], key=mistake.key, problem=text)


def _holds(table: KeyPath, key: str) -> bool:
    return key.startswith(f"{shown_key(table)}.")


def _without_parent(found: Sequence[Mistake], file: str, parsed: Parsed[GenreTable]) -> Iterator[Mistake]:
    """A new genre that inherits nothing lacks nearly everything: that is one mistake."""
    lacking = [each for each in found if each.problem.startswith(INCOMPLETE)]
    if len(lacking) > 1:
        text = f'a new genre says what it inherits from, such as inherits = "{PARENT}"'
        yield Mistake(file, parsed.lines.get(("name",)), "inherits", text)
    yield from (each for each in found if len(lacking) < 2 or each not in lacking)
