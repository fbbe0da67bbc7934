"""Folders in which all is decided and written, so that a pass over them need not look at each photo again."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

from eyeline.errors import printable
from eyeline.ledger.conversion import json_text, moment_of, path_bytes, utc_text
from eyeline.ledger.database import Database
from eyeline.ledger.records import Settled, Summary


class SettledFolders:
    """At most one entry a folder. Every method raises LedgerFailed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(self, folder: Path, settled: Settled) -> None:
        """Keep `settled` of `folder`, in place of an earlier one."""
        summary = settled.summary
        held = {
            "stars": [[stars, count] for stars, count in summary.stars.items()],
            "outcomes": dict(summary.outcomes),
            "genres": sorted(summary.genres),
        }
        self._database.change(
            "INSERT OR REPLACE INTO settled VALUES (?, ?, ?, ?, ?, ?)",
            (
                path_bytes(folder),
                printable(folder),
                settled.inputs,
                json_text(dict(settled.fresh)),
                json_text(held),
                utc_text(settled.at),
            ),
        )

    def of(self, folder: Path) -> Settled | None:
        """What is kept of `folder`."""
        row = self._database.row("SELECT * FROM settled WHERE folder = ?", (path_bytes(folder),))
        return self._settled(row) if row else None

    def _settled(self, row: sqlite3.Row) -> Settled:
        with self._database.held(f"what is settled in {row['printable']}"):
            try:
                held = json.loads(row["summary"])
                stars = {None if stars is None else int(stars): int(count) for stars, count in held["stars"]}
                outcomes = {str(outcome): int(count) for outcome, count in held["outcomes"].items()}
                summary = Summary(stars, outcomes, frozenset(map(str, held["genres"])))
                fresh = {str(name): str(digest) for name, digest in json.loads(row["fresh"]).items()}
            except (KeyError, TypeError, AttributeError) as error:
                raise ValueError(str(error)) from error
            return Settled(row["inputs"], fresh, summary, moment_of(row["settled_at"]))
