"""What is about to be written into a sidecar: noted before, so that a kill in between does not leave a file
of which the ledger knows nothing."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from eyeline.errors import printable
from eyeline.ledger.conversion import path_bytes, utc_text
from eyeline.ledger.database import Database


class Intentions:
    """The latest record about to be written, by sidecar. Every method raises LedgerFailed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def note(self, sidecar: Path, written: str, now: datetime) -> None:
        """Note that `written` (JSON) is about to be written into `sidecar`, in place of an earlier note."""
        self._database.change(
            "INSERT OR REPLACE INTO intentions VALUES (?, ?, ?, ?)",
            (path_bytes(sidecar), printable(sidecar), written, utc_text(now)),
        )

    def of(self, sidecar: Path) -> str | None:
        """What was about to be written into `sidecar` last, None where nothing was."""
        row = self._database.row("SELECT written FROM intentions WHERE sidecar = ?", (path_bytes(sidecar),))
        return str(row["written"]) if row else None
