"""`eyeline.toml` in a watched folder: which genres, which sitting, which brief, and nothing else.

Whoever can drop a file into a folder could otherwise make the daemon alter originals.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.errors import BadConfiguration
from eyeline.intake.roots import root_of
from eyeline.settings.brief_lines import brief_file, brief_lines
from eyeline.settings.configuration import configuration_path, unknown_genres
from eyeline.settings.grammar import ConfigurationTable, FolderFileTable
from eyeline.settings.sitter_list import sitter_list
from eyeline.sitting.brief import BriefLine
from eyeline.sitting.seats import Seats
from eyeline.toml_files.file import read_file, refuse_mistakes
from eyeline.toml_files.grammar import keys_of
from eyeline.toml_files.mistake import Problem

FILE_NAME = "eyeline.toml"
UNTIL_THEN = "until then no photo in this folder or below is judged, and nothing is written there"
SET_ELSEWHERE = {key.name for key in keys_of(ConfigurationTable)} - {"genres"}
"""Keys of the configuration that a folder has no say in."""


@dataclass(frozen=True, slots=True)
class FolderFile:
    """What a folder says about its photos; empty where it says nothing.

    `brief`: how many frames of which genres are wanted; its genres are judged too. `seats`: how sitters are
    told apart, None where nobody asks for that. `fault`: why the file, or the list of sitters that it names,
    was not understood. Nobody then knows what is wanted here, so nothing is judged by another brief.
    """

    path: Path | None = None
    genres: tuple[str, ...] = ()
    sitting: str | None = None
    brief: tuple[BriefLine, ...] = ()
    seats: Seats | None = None
    fault: BadConfiguration | None = None


def folder_file(folder: Path, root: Path, known_genres: Collection[str]) -> FolderFile:
    """The nearest `eyeline.toml` in `folder` or above it, but not above `root`.

    Raises nothing for a broken file: `fault` tells.
    """
    for place in (folder, *folder.parents):
        path = place / FILE_NAME
        try:
            return _read(path, known_genres)
        except FileNotFoundError:
            if place == root or not place.is_relative_to(root):
                break
        except BadConfiguration as error:
            return FolderFile(path, fault=BadConfiguration(error.what, path, f"{error.cure}; {UNTIL_THEN}"))
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


def any_brief(path: Path, known_genres: Collection[str]) -> tuple[tuple[BriefLine, ...], Seats | None]:
    """The lines of a folder's own file, which `eyeline.toml` is, and how it tells sitters apart; or the lines
    of a brief in a file of its own.

    Raises BadConfiguration with every mistake and its line.
    """
    if path.name != FILE_NAME:
        return brief_file(path, known_genres), None
    try:
        read = _read(path, known_genres)
    except FileNotFoundError as error:
        raise BadConfiguration("there is no such file", path, "Name a brief that exists") from error
    return read.brief, read.seats


def _read(path: Path, known_genres: Collection[str]) -> FolderFile:
    file = read_file(path, FolderFileTable)
    elsewhere = f"is set in the configuration only ({configuration_path()})"
    file.problems = [
        Problem(each.key, elsewhere) if each.key in {(name,) for name in SET_ELSEWHERE} else each
        for each in file.problems
    ]
    genres = file.table.genres or ()
    file.problems += unknown_genres(("genres",), genres, known_genres)
    lines = brief_lines(file, known_genres)
    refuse_mistakes(path, file.mistakes, "Mend what is named")
    all_genres = tuple(dict.fromkeys((*genres, *(line.genre for line in lines))))
    return FolderFile(path, all_genres, file.table.sitting, lines, _seats(path.parent, file.table, lines))


def _seats(home: Path, table: FolderFileTable, lines: Sequence[BriefLine]) -> Seats | None:
    """How the file tells sitters apart. Raises BadConfiguration where the list has a mistake."""
    if not (table.sitters or table.sitter_list or any(line.per == "sitter" for line in lines)):
        return None
    try:
        chairs = sitter_list(home / table.sitter_list) if table.sitter_list else ()
    except BadConfiguration as error:
        what = f"its list of sitters {table.sitter_list}: {error.what}"
        raise BadConfiguration(what, error.file, error.cure) from error
    return Seats(home, table.sitters or "slates", chairs)
