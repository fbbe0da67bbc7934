"""What went wrong, with which file, and what to do about it."""

from __future__ import annotations

import sqlite3
from datetime import datetime, timedelta
from pathlib import Path

from eyeline.errors import printable
from eyeline.ledger.conversion import moment_of, path_bytes, path_of, storable, utc_text
from eyeline.ledger.database import Database
from eyeline.ledger.records import Problem

KEPT = timedelta(days=90)  # a season: long enough to look back over a job, short enough to stay small


class Problems:
    """Problems in the order in which they happened. Every method raises LedgerFailed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, problem: Problem) -> None:
        """Keep `problem` (for KEPT)."""
        path = problem.path.absolute() if problem.path is not None else None
        self._database.change(
            "INSERT INTO problems (path, printable, what, cure, at) VALUES (?, ?, ?, ?, ?)",
            (
                path_bytes(path) if path is not None else None,
                printable(path) if path is not None else None,
                storable(problem.what),
                storable(problem.cure),
                utc_text(problem.at),
            ),
        )

    def since(self, moment: datetime) -> tuple[Problem, ...]:
        """All problems from `moment` on, oldest first."""
        return self._select("at >= ?", utc_text(moment))

    def on(self, path: Path) -> tuple[Problem, ...]:
        """All problems with `path`, oldest first."""
        return self._select("path = ?", path_bytes(path))

    def prune(self, now: datetime) -> int:
        """Erase what is older than KEPT; how many that was."""
        return self._database.change("DELETE FROM problems WHERE at < ?", (utc_text(now - KEPT),))

    def _select(self, where: str, value: str | bytes) -> tuple[Problem, ...]:
        rows = self._database.rows(f"SELECT * FROM problems WHERE {where} ORDER BY id", (value,))
        return tuple(map(self._problem, rows))

    def _problem(self, row: sqlite3.Row) -> Problem:
        with self._database.held(f"problem {row['id']}"):
            path = path_of(row["path"]) if row["path"] is not None else None
            return Problem(path, row["what"], row["cure"], moment_of(row["at"]))
