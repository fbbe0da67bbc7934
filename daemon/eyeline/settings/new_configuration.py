"""A commented configuration for somebody who has none: what they answered, all else at its default."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import tomlkit

from eyeline.errors import BadConfiguration
from eyeline.settings.rules import DEFAULT_BRIEF
from eyeline.system.whole_file import made_whole

_START = """\
# The configuration of eyeline, written by `eyeline setup`. Every key may be
# left out. Lines that begin with # say nothing to eyeline. A running daemon
# reads it at its next start.
"""

_WRITE = """
# Where stars, keywords and crops go. "sidecar": into a small .xmp file beside
# each photo, which programs that develop RAW read, and viewers that read
# sidecars. "embedded": for JPEGs into the JPEG itself, for viewers that look
# only there; the picture in it stays as it is. Other kinds have sidecars in any
# case.
"""

_GENRES = """
# What each photo is judged on, unless its folder has a brief (to write one:
# eyeline brief --new FOLDER). All genres that there are: eyeline genres
"""

_FOLDERS = """
# Folders to watch, each with all below it: one [[folder]] each.
"""

_MORE = """
# More that may be said, here with its default:
# sidecar_name = "replace"    # IMG_1.xmp; "append": IMG_1.jpg.xmp
# five_stars = false          # the fifth star is yours
# sitting_quiet_seconds = 20  # the daemon writes when nothing came for so long
"""


@dataclass(frozen=True, slots=True)
class Answers:
    """What a new user has been asked. `genres` empty: the usual brief of a sitting."""

    folders: tuple[Path, ...]
    genres: tuple[str, ...]
    write: Literal["sidecar", "embedded"]


def new_configuration(answers: Answers) -> str:
    """The text of the file."""
    genres = _listed(answers.genres or DEFAULT_BRIEF, "" if answers.genres else "# ")
    folders = "".join(f"\n[[folder]]\npath = {_text(str(path))}\n" for path in answers.folders)
    empty = '\n# [[folder]]\n# path = "/home/you/shoots"\n'
    return (
        f"{_START}{_WRITE}write = {_text(answers.write)}\n{_GENRES}{genres}{_MORE}"
        f"{_FOLDERS}{folders or empty}"
    )


def write_new_configuration(path: Path, answers: Answers) -> None:
    """Write it to `path`. Raises BadConfiguration where one is there already, or it cannot be written."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with made_whole(path) as unnamed:
            unnamed.write_text(new_configuration(answers), "utf-8")
    except FileExistsError as error:
        raise already_there(path) from error
    except OSError as error:
        cure = "Make the folder writable, or name another place: eyeline setup --config FILE"
        raise BadConfiguration(f"it cannot be written: {error.strerror}", path, cure) from error


def already_there(path: Path) -> BadConfiguration:
    """What to say where there is a configuration: none is ever written over."""
    return BadConfiguration(
        "you have a configuration already, and it stays as it is",
        path,
        "Change it in an editor, or move it away and run eyeline setup again",
    )


def _text(value: str) -> str:
    return tomlkit.item(value).as_string()


def _listed(names: Sequence[str], mark: str) -> str:
    lines = ["genres = [", *(f"    {_text(name)}," for name in names), "]"]
    return "".join(f"{mark}{line}\n" for line in lines)
