"""An answer in a table, as spreadsheets and galleries write it: a row a photo, with or without a verdict."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence

from eyeline.selecting import words as known
from eyeline.selecting.answer import Answer
from eyeline.selecting.mail import in_plain_signs
from eyeline.selecting.mention import Asked
from eyeline.selecting.name import frame_name

_NAME_HEADINGS = frozenset(
    """file filename name number no nr photo picture image frame datei dateiname nummer bild foto fichier nom
    numéro image photo archivo nombre número imagen file nome numero immagine bestand bestandsnaam filnavn
    filnamn""".split()
)
_VERDICT_HEADINGS = frozenset(
    """selected select selection choice choose chosen pick picked keep yes wanted want favourite favorite
    approved auswahl ausgewählt gewählt ja wahl favorit choix choisi choisie oui elegida elegido selección
    sí scelta scelto keuze gekozen valg vald val""".split()
)
_COLUMN_SIGNS = ",;\t|"
_SIGN_FOR_TRUE = frozenset(("1", "true", "wahr", "vrai", "*"))
_SIGN_FOR_FALSE = frozenset(("0", "false", "falsch", "faux", "-"))


def answer_in_table(text: str) -> Answer | None:
    """The answer where `text` is a table with a heading for photos, else None."""
    lines = [line for line in in_plain_signs(text).removeprefix("\ufeff").split("\n") if line.strip()]
    if len(lines) < 2:
        return None
    sign = max(_COLUMN_SIGNS, key=lines[0].count)
    rows = list(csv.reader(lines, delimiter=sign))
    headings = [_heading(cell) for cell in rows[0]]
    if any(any(character.isdigit() for character in cell) for cell in rows[0]):
        return None
    names = _column(headings, _NAME_HEADINGS)
    if names is None or (len(headings) == 1 and len(headings[0].split()) > 1):
        return None
    verdicts = _column(headings, _VERDICT_HEADINGS)
    wanted, unwanted, doubts = [], [], []
    for row in rows[1:]:
        said = row[names].strip() if names < len(row) else ""
        if not any(character.isdigit() for character in said):
            continue
        asked = Asked(frame_name(said), None, said)
        verdict = row[verdicts].strip().casefold() if verdicts is not None and verdicts < len(row) else ""
        if verdicts is None or verdict in known.YES | _SIGN_FOR_TRUE:
            wanted.append(asked)
        elif verdict in known.NO | _SIGN_FOR_FALSE or not verdict:
            unwanted.append(asked)
        else:
            doubts.append(f"“{verdict}” beside {said} is neither yes nor no")
    return Answer(tuple(wanted), tuple(unwanted), False, tuple(doubts))


def _heading(cell: str) -> str:
    return re.sub(r"[^\w ]+", "", cell.strip().casefold().replace("_", " "))


def _column(headings: Sequence[str], known_headings: frozenset[str]) -> int | None:
    for number, heading in enumerate(headings):
        if known_headings & {heading, heading.replace(" ", ""), *heading.split()}:
            return number
    return None
