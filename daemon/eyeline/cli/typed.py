"""Hints as they can be typed in this shell."""

from __future__ import annotations

import os
import re
import shutil
import sys
from pathlib import Path

from eyeline.cli.parsers import VERBS

NAME = "eyeline"

_HINT = re.compile(rf"(?<![\w/.-]){NAME}(?= (?:{'|'.join(VERBS)}|VERB|--help)\b)")


def typed(text: str) -> str:
    """`text` with each command in it as this shell finds it: "eyeline run" is ".venv/bin/eyeline run" where
    eyeline was called so and is not on the PATH."""
    called = command()
    return text if called == NAME else _HINT.sub(lambda _: called, text)


def command() -> str:
    """How eyeline was called: its name where the shell finds it by that, else its path."""
    called = Path(sys.argv[0])
    if called.name != NAME or shutil.which(NAME):
        return NAME
    inside = called.is_absolute() and called.is_relative_to(Path.cwd())
    return os.fspath(called.relative_to(Path.cwd()) if inside else called)
