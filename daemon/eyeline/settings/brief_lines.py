"""The lines of a brief as a person writes them: `[[brief]]` tables in TOML, read strictly."""

from __future__ import annotations

import re
from collections.abc import Collection
from pathlib import Path
from typing import Any

from eyeline.errors import BadConfiguration
from eyeline.settings.configuration import Key, read_keys, read_words
from eyeline.sitting.brief import Line
from eyeline.toml_files.file import TomlFile, nearest, read_toml, shown

MOST_WANTED = 1000
MOST_PIXELS = 100_000  # along a side; the largest sensors have a sixth of it
_SIZE = re.compile(r"([1-9][0-9]{0,5}) ?[x×] ?([1-9][0-9]{0,5})")


def _count(value: Any, _: Path) -> int:
    if type(value) is not int or not 1 <= value <= MOST_WANTED:
        raise ValueError
    return int(value)


def _sizes(value: Any, _: Path) -> tuple[tuple[int, int], ...]:
    if not isinstance(value, list):
        raise ValueError
    found = []
    for each in value:
        size = _SIZE.fullmatch(each) if isinstance(each, str) else None
        if size is None or max(int(size[1]), int(size[2])) > MOST_PIXELS:
            raise ValueError
        found.append((int(size[1]), int(size[2])))
    return tuple(found)


LINE_KEYS = (
    Key("genre", "the name of a genre", "required", "what the frames are judged on", read_words),
    Key("wanted", f"a whole number from 1 to {MOST_WANTED}", "1", "how many different frames", _count),
    Key(
        "sizes",
        'a list of sizes in pixels, such as ["1600x2000"]',
        "any",
        "each frame must yield all of them",
        _sizes,
    ),
    Key("called", "text on one line", "the genre's name", "your own words for the line", read_words),
)


def read_lines(file: TomlFile, known_genres: Collection[str]) -> tuple[Line, ...]:
    """The `[[brief]]` tables of `file`; every fault is noted in it, with its line."""
    tables = file.content.get("brief", [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        file.fault(("brief",), "'brief' is to be a table of its own for each line, headed [[brief]]")
        return ()
    lines: list[Line] = []
    for number, table in enumerate(tables):
        found = read_keys(file, ("brief", number), table, LINE_KEYS)
        genre = found.get("genre")
        if "genre" not in table:
            file.fault(("brief", number), "this line of the brief has no 'genre'")
        elif genre is None:
            continue
        elif genre not in known_genres:
            file.fault(
                ("brief", number, "genre"), f"unknown genre {shown(genre)}: {nearest(genre, known_genres)}"
            )
        elif any(genre == line.genre for line in lines):
            file.fault(
                ("brief", number, "genre"), f"{shown(genre)} has a line already; put all sizes into that one"
            )
        else:
            lines.append(Line(**found))
    return tuple(lines)


def brief_file(path: Path, known_genres: Collection[str]) -> tuple[Line, ...]:
    """The lines in a file of their own. Raises BadConfiguration with every fault and its line."""
    try:
        file = read_toml(path)
    except FileNotFoundError as error:
        raise BadConfiguration("there is no such file", path, "Name a brief that exists") from error
    for name in file.content.keys() - {"brief"}:
        file.fault((name,), f"unknown key {shown(name)}: a brief holds [[brief]] tables only")
    lines = read_lines(file, known_genres)
    file.refuse("Mend what is named")
    if not lines:
        raise BadConfiguration("this brief has no line", path, "Add a [[brief]] table with a genre")
    return lines
