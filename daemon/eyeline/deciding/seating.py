"""Who sits in which photo of a folder, from what the ledger knows and what the folder's file says."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from eyeline.ledger.ledger import Ledger
from eyeline.ledger.sitters import SeatRow
from eyeline.settings.folder_file import FolderFile
from eyeline.sitting.seats import LIGHTNESS, SLATE_CODE, Said, Seats, seated
from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Measurement


def sitters_in(seats: Seats, ledger: Ledger) -> dict[Path, str]:
    """The label of who sits in each photo under the home of `seats`, where that is known.

    Raises LedgerFailed.
    """
    rows = ledger.sitters.under(seats.home)
    return seated(
        {row.path: _shot(row) for row in rows},
        {row.path: Said(row.sitter, row.said_at) for row in rows if row.sitter is not None},
        seats,
    )


SITTER = "sitter"
"""The word before a sitter's number, in keywords and in the names of sittings."""


def named_sittings(
    paths: Iterable[Path], sitting: str | None, sitters: Mapping[Path, str]
) -> Mapping[Path, str]:
    """The name of the sitting that each of the photos at `paths` belongs to, where it has one: its sitter of
    `sitters`, else the name that the folder gives, `sitting`."""
    named = dict.fromkeys(paths, sitting) if sitting is not None else {}
    return {path: name for path, name in named.items() if name is not None} | {
        path: f"{SITTER} {label}" for path, label in sitters.items()
    }


def sittings_of(paths: Iterable[Path], rules: FolderFile, ledger: Ledger) -> Mapping[Path, str]:
    """The name of the sitting that each of the photos at `paths`, for which `rules` speak, belongs to, where
    it has one. Raises LedgerFailed."""
    sitters = sitters_in(rules.seats, ledger) if rules.seats is not None else {}
    return named_sittings(paths, rules.sitting, sitters)


def _shot(row: SeatRow) -> Shot:
    measured = {}
    if row.people is not None:
        measured["people"] = Measurement("people", row.people)
    if row.lightness is not None:
        measured[LIGHTNESS] = Measurement(LIGHTNESS, row.lightness)
    if row.code is not None:
        measured[SLATE_CODE] = Measurement(SLATE_CODE, row.code)
    return Shot(row.path.name, str(row.path.parent), row.taken_at, row.serial, measured)
