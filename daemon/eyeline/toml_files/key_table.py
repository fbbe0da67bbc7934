"""The keys of a grammar as a Markdown table, for the documentation."""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args, get_origin

from eyeline.toml_files.grammar import is_table, keys_of, kind_of, shortened

HEAD = ("| key | meaning | expects | default |", "| --- | --- | --- | --- |")


def key_table(table: type) -> str:
    """Every key of `table`, and of the tables in it: what it means and expects, and its default."""
    return "\n".join([*HEAD, *_rows(table, "")])


def _rows(table: type, prefix: str) -> Iterator[str]:
    for key in keys_of(table):
        kind = kind_of(key.kind)
        if kind is not None:
            default = key.default.words if key.default is not None else "none"
            yield f"| `{prefix}{key.name}` | {key.meaning} | {kind.expects} | {default} |"
        elif (short := shortened(key.kind)) is not None:
            number = kind_of(short[1].kind)
            default = key.default.words if key.default is not None else "none"
            expects = f"{number.expects}, or a table" if number is not None else "a table"
            yield f"| `{prefix}{key.name}` | {key.meaning} | {expects} | {default} |"
            yield from _rows(short[0], f"{prefix}{key.name}.")
        elif get_origin(key.kind) is list and is_table(inner := get_args(key.kind)[0]):
            yield f"| `[[{prefix}{key.name}]]` | {key.meaning} | a table for each | none |"
            yield from _rows(inner, f"{prefix}{key.name}.")
        elif is_table(key.kind):
            yield f"| `[{prefix}{key.name}]` | {key.meaning} | a table | none |"
            yield from _rows(key.kind, f"{prefix}{key.name}.")
        else:
            raise TypeError(f"the table of keys does not know how to show {key}")
