"""What went out to clients: the frames that an answer can mean."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from eyeline.errors import printable
from eyeline.ledger.conversion import moment_of, path_bytes, path_of, span, storable, utc_text
from eyeline.ledger.database import Database
from eyeline.ledger.records import SentOut


class Proofs:
    """A row for each time that a frame went out. Every method raises LedgerFailed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, sent: Iterable[SentOut]) -> None:
        """Keep that these frames went out, together."""
        with self._database.transaction():
            for each in sent:
                self._database.change(
                    "INSERT INTO proofs (path, printable, digest, made_as, at) VALUES (?, ?, ?, ?, ?)",
                    (
                        path_bytes(each.path),
                        printable(each.path),
                        each.digest,
                        storable(each.made_as),
                        utc_text(each.at),
                    ),
                )

    def under(self, folder: Path) -> list[SentOut]:
        """What went out of all that lies under `folder`, by path: of each frame the last time."""
        rows = self._database.rows(
            """SELECT * FROM proofs WHERE id IN (SELECT MAX(id) FROM proofs WHERE path > ? AND path < ?
               GROUP BY path) ORDER BY path""",
            span(folder),
        )
        return [
            SentOut(path_of(row["path"]), row["digest"], row["made_as"], moment_of(row["at"])) for row in rows
        ]
