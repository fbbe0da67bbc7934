"""`eyeline.toml` in a watched folder: which genres, which sitting, which brief, and nothing else.

Whoever can drop a file into a folder could otherwise make the daemon alter originals.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.errors import BadConfiguration
from eyeline.intake.roots import root_of
from eyeline.settings.brief_lines import read_lines
from eyeline.settings.configuration import (
    NAMES,
    Key,
    configuration_path,
    read_keys,
    read_names,
    read_words,
    refuse_unknown_genres,
)
from eyeline.sitting.brief import Line
from eyeline.toml_files.file import read_toml, shown

FILE_NAME = "eyeline.toml"
BRIEF = "brief"
KEYS = (
    Key("genres", NAMES, "those of the configuration", "genres for the photos here and below", read_names),
    Key("sitting", "text on one line", "none", "name of the sitting in this folder", read_words),
)


@dataclass(frozen=True, slots=True)
class FolderFile:
    """What a folder says about its photos; empty where it says nothing.

    `brief`: how many frames of which genres are wanted; its genres are judged too. `fault`: why the
    file was not understood; all else is then the default.
    """

    path: Path | None = None
    genres: tuple[str, ...] = ()
    sitting: str | None = None
    brief: tuple[Line, ...] = ()
    fault: BadConfiguration | None = None


def folder_file(folder: Path, root: Path, known_genres: Collection[str]) -> FolderFile:
    """The nearest `eyeline.toml` in `folder` or above it, but not above `root`.

    Raises nothing for a broken file: `fault` tells, and the rest of the answer is the default.
    """
    for place in (folder, *folder.parents):
        path = place / FILE_NAME
        try:
            return _read(path, known_genres)
        except FileNotFoundError:
            if place == root or not place.is_relative_to(root):
                break
        except BadConfiguration as error:
            return FolderFile(path, fault=error)
    return FolderFile()


def valid_folder_file(folder: Path, roots: Sequence[Path], known_genres: Collection[str]) -> FolderFile:
    """The nearest `eyeline.toml` in `folder` or above it, within that of `roots` which holds it.

    Raises
    ------
    BadConfiguration
        When the file has a fault.
    """
    found = folder_file(folder, root_of(folder, roots) or folder, known_genres)
    if found.fault is not None:
        raise found.fault
    return found


def _read(path: Path, known_genres: Collection[str]) -> FolderFile:
    file = read_toml(path)
    allowed = {key.name for key in KEYS}
    for name in file.content.keys() - allowed - {BRIEF}:
        known = ", ".join(map(repr, sorted({*allowed, BRIEF})))
        file.fault(
            (name,),
            f"{shown(name)} may not be said here, only {known}; how and where to write is set in the "
            f"global configuration only ({configuration_path()})",
        )
    found = read_keys(file, (), {key: file.content[key] for key in allowed & file.content.keys()}, KEYS)
    refuse_unknown_genres(file, ("genres",), found.get("genres", ()), known_genres)
    lines = read_lines(file, known_genres)
    file.refuse("Mend what is named; until then the folder's file counts for nothing")
    genres = tuple(dict.fromkeys((*found.pop("genres", ()), *(line.genre for line in lines))))
    return FolderFile(path, genres, **found, brief=lines)
