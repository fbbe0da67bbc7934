"""Why there is nothing to show of what was named on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from shlex import quote

from eyeline.errors import BadConfiguration, EyelineError, printable


def nothing_measured(paths: Sequence[Path], tail: str = "") -> EyelineError:
    """The error where nothing is measured in any of `paths`: one is not there, is a file where a folder is
    wanted, or no photo in it was looked at yet. `tail`: options of the `eyeline run` that is proposed."""
    for path in paths:
        if not path.exists():
            return EyelineError("this path is not there", path, "Correct its name, or connect its disk")
    cure = f"Run: eyeline run {' '.join(quote(printable(path)) for path in paths)}{tail}"
    return _file_among(paths) or EyelineError("nothing in it is measured yet", paths[0], cure)


def check_folders(paths: Sequence[Path]) -> None:
    """Raise BadConfiguration where one of `paths` is a file."""
    error = _file_among(paths)
    if error is not None:
        raise error


def _file_among(paths: Sequence[Path]) -> BadConfiguration | None:
    found = next((path for path in paths if path.is_file()), None)
    return BadConfiguration("this is no folder", found, "Name the folder in which it lies") if found else None
