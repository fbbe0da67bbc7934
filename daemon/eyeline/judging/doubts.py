"""What a rule file may say, and yet looks like a slip: a new name that is nearly one there is.

A misspelt fault is a new fault, a misspelt genre a new genre; neither is a mistake, both do nothing that
their author wanted.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from eyeline.judging.grammar import GenreTable
from eyeline.judging.inheritance import Effective
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import effective_rules, genre_files
from eyeline.toml_files.lines import KeyPath, line_of
from eyeline.toml_files.mistake import Mistake, nearest, shown_key
from eyeline.toml_files.parse import NoToml, Parsed, parse

SECTIONS: dict[KeyPath, str] = {
    ("criteria",): "criterion",
    ("faults",): "fault",
    ("requires",): "requirement",
    ("keywords",): "keyword",
    ("remarks",): "remark",
    ("crops", "formats"): "crop format",
}
"""Tables of a genre whose keys are names, and what one of them is called."""

ALIKE = 0.75
"""Similarity (2 x matching characters / all characters, Ratcliff & Obershelp) from which a new word looks
like a slip of a known one: a letter wrong in four. Chosen by hand."""

_BETWEEN_WORDS = re.compile(r"[ _-]+")


def doubts(file: RuleFile, others: Sequence[RuleFile]) -> tuple[Mistake, ...]:
    """What looks like a slip in the genre `file`, read on top of `others`; nothing where it is no TOML."""
    try:
        parsed = parse(file.name, file.text, GenreTable)
    except NoToml:
        return ()
    name, parent = (parsed.tree.get(key) for key in ("name", "inherits"))
    if not isinstance(name, str):
        return ()
    layers = genre_files(others)
    if name not in layers:
        found = list(_new_genre(name, parsed, [*layers]))
        above = effective_rules(layers, parent) if isinstance(parent, str) else None
        base = above.inherited() if above is not None else Effective()
    else:
        found = []
        base = effective_rules(layers, name) or Effective()
    for section, what in SECTIONS.items():
        stated, there = _table(parsed.tree, section), _table(base.tree, section)
        off_above = {key[-1] for key in base.off | base.off_above if key[:-1] == section}
        for entry in stated.keys() - there.keys() - off_above:
            key = (*section, entry)
            found += _slip(key, what, stated, sorted(there.keys() - stated.keys()), parsed)
    return tuple(sorted(found, key=lambda each: each.line or 0))


def _new_genre(name: str, parsed: Parsed[GenreTable], known: Sequence[str]) -> Iterator[Mistake]:
    near = _slip_of(name, known)
    if near is not None:
        yield _doubt(("name",), f"{name!r} is a new genre, which no brief asks for yet", near, parsed)


def _slip(
    key: KeyPath, what: str, stated: dict[str, Any], there: Sequence[str], parsed: Parsed[GenreTable]
) -> Iterator[Mistake]:
    value = stated[str(key[-1])]
    if isinstance(value, dict) and value.get("off") is True:
        near = nearest(str(key[-1]), there)
        yield _doubt(key, f"there is no {what} of this name to switch off", near, parsed)
    elif (near := _slip_of(str(key[-1]), there)) is not None:
        yield _doubt(key, f"this is a new {what}", near, parsed)


def _slip_of(name: str, known: Sequence[str]) -> str | None:
    """The known name that `name` would be with each word spelt right; "copy space left" is none of "copy
    space", and "identity uk" none of "identity us"."""
    words = _BETWEEN_WORDS.split(name)

    def is_meant(other: str) -> bool:
        others = _BETWEEN_WORDS.split(other)
        same_count = len(words) == len(others)
        return "".join(words) == "".join(others) or (
            same_count and all(nearest(one, [two], ALIKE) for one, two in zip(words, others, strict=True))
        )

    return nearest(name, filter(is_meant, known))


def _doubt(key: KeyPath, text: str, near: str | None, parsed: Parsed[GenreTable]) -> Mistake:
    return Mistake(parsed.file, line_of(parsed.lines, key), shown_key(key), text, near)


def _table(tree: dict[str, Any], section: KeyPath) -> dict[str, Any]:
    for name in section:
        found = tree.get(str(name))
        tree = found if isinstance(found, dict) else {}
    return tree
