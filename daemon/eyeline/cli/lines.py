"""Lines for a terminal."""

from __future__ import annotations

import sys
import textwrap

from eyeline.cli.typed import typed
from eyeline.errors import printable

COLUMNS = 80
"""What every terminal has, and what a message can be read in beside a viewer."""


def folded(text: str, indent: int) -> str:
    """`text` in lines of at most COLUMNS, the second and further ones moved in by `indent` blanks.

    What has no blank in it, such as a path, is never parted: it could not be copied then. Characters that
    a terminal would obey are escaped.
    """
    text = printable(text)
    start = text[: len(text) - len(text.lstrip())]
    return textwrap.fill(
        text.lstrip(),
        COLUMNS,
        initial_indent=start,
        subsequent_indent=" " * indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


def say(text: str, indent: int = 2) -> None:
    """Print `text` for people: its hints as they can be typed here, each of its lines in COLUMNS."""
    for line in typed(text).split("\n"):
        print(folded(line, indent))


def complain(text: str) -> None:
    """Print `text` on stderr, as `say` where a person reads along; a log keeps it on a line of its own."""
    said = typed(f"eyeline: {text}")
    if sys.stderr.isatty():
        said = "\n".join(folded(line, 2) for line in said.split("\n"))
    print(said, file=sys.stderr, flush=True)
