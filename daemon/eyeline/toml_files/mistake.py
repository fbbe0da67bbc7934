"""A mistake in a rule file: where it is, what was expected, and the nearest valid name."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from eyeline.errors import printable
from eyeline.toml_files.lines import KeyPath


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong at `key`, before it is known on which line that is."""

    key: KeyPath
    text: str
    nearest: str | None = None


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake: `file` and `line` (None where the file as a whole is meant), `key` as in TOML."""

    file: str
    line: int | None
    key: str
    problem: str
    nearest: str | None = None

    def __str__(self) -> str:
        where = printable(self.file) + (f", line {self.line}" if self.line is not None else "")
        hint = f"; did you mean {self.nearest!r}?" if self.nearest else ""
        return f"{where}: {self.key + ': ' if self.key else ''}{self.problem}{hint}"


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name most like `name`, or None where none is alike."""
    close = get_close_matches(name, list(known), n=1, cutoff=0.6)
    return close[0] if close else None


def shown_key(key: KeyPath) -> str:
    """`key` as one would write it in TOML: criteria.headroom.between, either[1].measure."""
    text = ""
    for part in key:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            plain = part.replace("_", "").replace("-", "").isalnum() and part.isascii()
            text += ("." if text else "") + (part if plain else f'"{part}"')
    return text
