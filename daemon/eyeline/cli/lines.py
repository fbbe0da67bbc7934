"""Lines for a terminal."""

from __future__ import annotations

import re
import sys
import textwrap

from eyeline.cli.parsers import VERBS
from eyeline.cli.typed import typed
from eyeline.errors import printable

COLUMNS = 80
"""What every terminal has, and what a message can be read in beside a viewer."""

_UNIT = re.compile(r"(?<=\d) (%|px\b|stars?\b|×)")
"""What stays on the line of its number."""

_COMMAND = re.compile(rf"(?:(?<=: )|(?<=\? )|(?<=^  )|^)(?:\S*/)?eyeline (?:{'|'.join(VERBS)})\b.*$")
"""A command to be typed, after a colon, a question or at the start of a line."""

_NO_BREAK = "\x00"
"""Stands for a blank at which no line ends; `printable` leaves none in a text."""


def folded(text: str, indent: int) -> str:
    """`text` in lines of at most COLUMNS, the second and further ones moved in by `indent` blanks.

    What has no blank in it, such as a path, is never parted, nor is a command at the end of `text`: it could
    not be copied then. Characters that a terminal would obey are escaped.
    """
    text = _UNIT.sub(rf"{_NO_BREAK}\1", printable(text))
    text = _COMMAND.sub(lambda found: found[0].replace(" ", _NO_BREAK), text)
    start = text[: len(text) - len(text.lstrip())]
    lines = textwrap.fill(
        text.lstrip(),
        COLUMNS,
        initial_indent=start,
        subsequent_indent=" " * indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return lines.replace(_NO_BREAK, " ")


def say(text: str, indent: int = 2) -> None:
    """Print `text` for people: its hints as they can be typed here, each of its lines in COLUMNS."""
    for line in typed(text).split("\n"):
        print(folded(line, indent), flush=True)


def complain(text: str) -> None:
    """Print `text` on stderr, as `say` where a person reads along; a log keeps it on a line of its own."""
    said = typed(f"eyeline: {text}")
    if sys.stderr.isatty():
        said = "\n".join(folded(line, 2) for line in said.split("\n"))
    print(said, file=sys.stderr, flush=True)
