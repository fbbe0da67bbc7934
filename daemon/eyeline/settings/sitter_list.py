"""The list of sitters as a person keeps it: CSV (RFC 4180), one sitter a line, in the order of the chairs."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

from eyeline.errors import BadConfiguration
from eyeline.sitting.seats import Chair
from eyeline.toml_files.file import read_text
from eyeline.toml_files.values import named

LIST_SUFFIX = ".csv"
"""Of the names of such files."""

NUMBER_HEADS = frozenset({"number", "no", "no.", "nr", "nr.", "#", "id", "nummer", "numéro"})
NAME_HEADS = frozenset({"name", "sitter", "nom", "full name"})
SEPARATORS = ";\t,"
"""The first of these that stands in the first line parts the columns: spreadsheets write any of them."""


def sitter_list(path: Path) -> tuple[Chair, ...]:
    """The sitters in `path`: number and name, a number alone, or a name alone, then numbered by its place.

    A first line of headings (number, name) says which column is which. Raises BadConfiguration with the
    line, also where the file is not there.
    """
    try:
        text = read_text(path)
    except FileNotFoundError as error:
        raise BadConfiguration(
            "there is no such list of sitters", path, "Put it beside eyeline.toml, or name another"
        ) from error
    rows = _rows(text, path)
    number_at, name_at = 0, 1
    if rows and _is_head(rows[0][1]):
        heads = [cell.casefold() for cell in rows.pop(0)[1]]
        number_at = next((place for place, head in enumerate(heads) if head in NUMBER_HEADS), -1)
        name_at = next((place for place, head in enumerate(heads) if head in NAME_HEADS), -1)
    chairs: dict[str, Chair] = {}
    for place, (line, cells) in enumerate(rows, start=1):
        number, name = _cell(cells, number_at), _cell(cells, name_at)
        if not name and number_at == 0 and not number[:1].isdecimal():
            number, name = "", number
        number = number or str(place)
        if not (number + name).isprintable():
            raise BadConfiguration(f"line {line}: {named(number + name)} is no plain text", path, "Retype it")
        if number in chairs:
            raise BadConfiguration(
                f"line {line}: number {named(number)} sits twice", path, "Give each sitter another number"
            )
        chairs[number] = Chair(number, name)
    if not chairs:
        raise BadConfiguration("this list has no sitter", path, "Write one sitter a line: number,name")
    return tuple(chairs.values())


def _rows(text: str, path: Path) -> list[tuple[int, list[str]]]:
    """Lines with anything in them, with their numbers; one that begins with # says nothing."""
    lines = text.splitlines()
    first = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    separator = next((each for each in SEPARATORS if each in first), ",")
    found = []
    reader = csv.reader(lines, delimiter=separator, strict=True)
    try:
        for cells in reader:
            cells = [" ".join(cell.split()) for cell in cells]
            if any(cells) and not cells[0].startswith("#"):
                found.append((reader.line_num, cells))
    except csv.Error as error:
        raise BadConfiguration(f"line {reader.line_num}: {error}", path, "Mend the quotes there") from error
    return found


def _is_head(cells: Sequence[str]) -> bool:
    return cells[0].casefold() in NUMBER_HEADS | NAME_HEADS


def _cell(cells: Sequence[str], place: int) -> str:
    return cells[place] if 0 <= place < len(cells) else ""
