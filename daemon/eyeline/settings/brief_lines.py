"""The lines of a brief as a person writes them: `[[brief]]` tables in TOML, read strictly."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from eyeline.errors import BadConfiguration
from eyeline.settings.grammar import BriefTable, FolderFileTable
from eyeline.sitting.brief import BriefLine
from eyeline.toml_files.file import read_file, refuse_mistakes
from eyeline.toml_files.grammar import stated
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.parse import Parsed
from eyeline.toml_files.values import named


def brief_lines(
    file: Parsed[BriefTable] | Parsed[FolderFileTable], known_genres: Collection[str]
) -> tuple[BriefLine, ...]:
    """The lines of the brief in `file`; what is wrong with one is noted there."""
    lines: list[BriefLine] = []
    names = tuple(sorted(known_genres))
    for number, table in enumerate(file.table.brief):
        key: KeyPath = ("brief", number, "genre")
        if table.genre is None:
            if key not in file.lines:
                file.wrong(key[:-1], "this line of the brief has no genre")
        elif table.genre not in known_genres:
            file.wrong(key, f"no genre is called {named(table.genre)}", table.genre, names)
        elif any(table.genre == line.genre for line in lines):
            file.wrong(key, f"{named(table.genre)} has a line already; put all sizes into that one")
        else:
            lines.append(BriefLine(**stated(table)))
    return tuple(lines)


def brief_file(path: Path, known_genres: Collection[str]) -> tuple[BriefLine, ...]:
    """The lines in a file of their own. Raises BadConfiguration with every mistake and its line."""
    try:
        file = read_file(path, BriefTable)
    except FileNotFoundError as error:
        raise BadConfiguration("there is no such file", path, "Name a brief that exists") from error
    lines = brief_lines(file, known_genres)
    refuse_mistakes(path, file.mistakes, "Mend what is named")
    if not lines:
        raise BadConfiguration("this brief has no line", path, "Add a [[brief]] table with a genre")
    return lines
