"""The files that were delivered: which is whose, and what it was made from."""

from __future__ import annotations

from pathlib import Path
from sqlite3 import Row

from eyeline.errors import printable
from eyeline.ledger.conversion import moment_of, path_bytes, path_of, span, utc_text
from eyeline.ledger.database import Database
from eyeline.ledger.records import Delivery


class Deliveries:
    """At most one entry a delivered file. Every method raises LedgerFailed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(self, delivery: Delivery) -> None:
        """Keep `delivery`, in place of an earlier one of the same file."""
        self._database.change(
            "INSERT OR REPLACE INTO deliveries VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                path_bytes(delivery.target),
                printable(delivery.target),
                path_bytes(delivery.path),
                delivery.digest,
                delivery.inputs,
                delivery.content,
                delivery.size_bytes,
                delivery.modified_ns,
                utc_text(delivery.at),
            ),
        )

    def of(self, target: Path) -> Delivery | None:
        """What is kept of the file at `target`."""
        row = self._database.row("SELECT * FROM deliveries WHERE target = ?", (path_bytes(target),))
        return _delivery(row) if row is not None else None

    def below(self, folder: Path) -> list[Delivery]:
        """What is kept of all files below `folder`, by their paths, those that are gone included."""
        rows = self._database.rows(
            "SELECT * FROM deliveries WHERE target > ? AND target < ? ORDER BY target", span(folder)
        )
        return [_delivery(row) for row in rows]


def _delivery(row: Row) -> Delivery:
    return Delivery(
        path_of(row["target"]),
        path_of(row["path"]),
        row["digest"],
        row["inputs"],
        row["content"],
        row["size_bytes"],
        row["modified_ns"],
        moment_of(row["at"]),
    )
