"""A mistake in a file by a person's hand: where it is, what was expected, and the nearest valid name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from eyeline.errors import printable
from eyeline.toml_files.lines import KeyPath, line_of
from eyeline.toml_files.values import LONGEST_NAMED, cut_short

MOST_LISTED = 50
"""Mistakes of one file that are named; a file with more was not written by hand, or is no such file."""

MOST_NAMES_LISTED = 30
"""Known names that a message lists where none is near."""

LEAST_BEGINNING = 4
"""Letters that somebody has to have written of a name for it to be meant: `stars` for `stars_at_most`."""


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong at `key`, before it is known on which line that is.

    `name`: a name that is not among those `known`, if that is what is wrong.
    """

    key: KeyPath
    text: str
    name: str = ""
    known: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake: `file` and `line` (None where the file as a whole is meant), `key` as in TOML.

    `nearest`: the valid name most like the one that is wrong.
    """

    file: str
    line: int | None
    key: str
    problem: str
    nearest: str | None = None

    @property
    def text(self) -> str:
        """All but file and line."""
        hint = f"; did you mean {self.nearest!r}?" if self.nearest else ""
        return f"{cut_short(self.key) + ': ' if self.key else ''}{self.problem}{hint}"

    def __str__(self) -> str:
        where = printable(self.file) + (f", line {self.line}" if self.line is not None else "")
        return f"{where}: {self.text}"


def mistake(problem: Problem, file: str, line: int | None) -> Mistake:
    """`problem` in its place, with the nearest of the known names, or all of them where none is near."""
    near = nearest(problem.name, problem.known) if problem.known else None
    text = problem.text
    if near is None and 0 < len(problem.known) <= MOST_NAMES_LISTED:
        text += f"; known are {', '.join(map(repr, problem.known))}"
    return Mistake(file, line, shown_key(problem.key), text, near)


def mistakes_at(problems: Sequence[Problem], file: str, lines: Mapping[KeyPath, int]) -> list[Mistake]:
    """`problems` of one file in the order of their lines: the first MOST_LISTED, then how many more."""
    placed = sorted(((line_of(lines, each.key), each) for each in problems), key=lambda pair: pair[0])
    found = [mistake(each, file, line) for line, each in placed[:MOST_LISTED]]
    more = len(placed) - len(found)
    return [*found, Mistake(file, None, "", f"and {more:,} more mistakes")] if more else found


def nearest(name: str, known: Iterable[str], alike: float = 0.6) -> str | None:
    """The known name most like `name`, or None where none is so much `alike` (0 to 1, see difflib): the one
    that it is the beginning of, where there is one alone."""
    known = sorted(known)
    longer = [each for each in known if len(name) >= LEAST_BEGINNING and each.startswith(name)]
    if len(longer) == 1:
        return longer[0]
    close = get_close_matches(name[:LONGEST_NAMED], known, n=1, cutoff=alike)
    return close[0] if close else None


def shown_key(key: KeyPath) -> str:
    """`key` as one would write it in TOML: criteria.headroom.between, either[1].measure."""
    text = ""
    for part in key:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            plain = part.replace("_", "").replace("-", "").isalnum() and part.isascii()
            text += ("." if text else "") + (part if plain else f'"{printable(part)}"')
    return text
