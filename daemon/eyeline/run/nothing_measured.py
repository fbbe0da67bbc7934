"""Why there is nothing to show of what was named on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from shlex import quote

from eyeline.errors import BadConfiguration, EyelineError, printable


def nothing_measured(paths: Sequence[Path], tail: str = "") -> EyelineError:
    """The error where nothing is measured at any of `paths`: one is not there, or none was looked at yet.
    `tail`: options of the `eyeline run` that is proposed."""
    for path in paths:
        if not path.exists():
            return EyelineError("this path is not there", path, "Correct its name, or connect its disk")
    where = "of it" if paths[0].is_file() else "in it"
    cure = f"Run: eyeline run {' '.join(quote(printable(path)) for path in paths)}{tail}"
    return EyelineError(f"nothing {where} is measured yet", paths[0], cure)


def check_folders(paths: Sequence[Path]) -> None:
    """Raise BadConfiguration where one of `paths` is a file."""
    for path in paths:
        if path.is_file():
            raise BadConfiguration("this is no folder", path, "Name the folder in which it lies")
