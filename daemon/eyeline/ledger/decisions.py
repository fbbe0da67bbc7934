"""What was decided about which file and what came of it: added, never changed."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import Any

from eyeline.errors import printable
from eyeline.ledger.conversion import (
    DIRECTLY_IN,
    directly_in,
    from_json,
    moment_of,
    path_bytes,
    path_of,
    span,
    storable,
    to_json,
    utc_text,
)
from eyeline.ledger.database import Database
from eyeline.ledger.records import Decision, Outcome
from eyeline.terms.verdict import Verdict


class Decisions:
    """Decisions in the order in which they were taken. Every method raises LedgerFailed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, decision: Decision) -> int:
        """Keep `decision`; its number.

        Raises ValueError where a number is infinite or not a number, or where `written` is no JSON.
        """
        if decision.written is not None:
            json.loads(decision.written)
        verdict = decision.verdict
        return self._database.add(
            """INSERT INTO decisions (path, printable, digest, genre, stars, rules_digest, verdict, outcome,
                    refused_because, sidecar, sidecar_before, sidecar_after, written, decided_at)
                VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""",
            (
                path_bytes(decision.path),
                printable(decision.path),
                decision.digest,
                verdict.genre,
                verdict.stars,
                verdict.rules_digest,
                to_json(verdict),
                decision.outcome,
                storable(decision.refused_because) if decision.refused_because is not None else None,
                path_bytes(decision.sidecar) if decision.sidecar is not None else None,
                decision.sidecar_before,
                decision.sidecar_after,
                decision.written,
                utc_text(decision.decided_at),
            ),
        )

    def latest(self, path: Path) -> Decision | None:
        """The latest decision on the photo at `path`.

        Where the file was measured under another name since, or is a copy, the decision on its image
        data; one on `path` itself goes before one on another file of the same image data.
        """
        held = path_bytes(path)
        file = self._database.row("SELECT digest FROM files WHERE path = ?", (held,))
        if file is None or file["digest"] is None:
            return self._newest("path = ?", held)
        return self._newest("path = ? AND digest = ?", held, file["digest"]) or self.latest_of(file["digest"])

    def latest_of(self, digest: str) -> Decision | None:
        """The latest decision on the image data with this digest."""
        return self._newest("digest = ?", digest)

    def latest_beside(self, path: Path, digest: str) -> Decision | None:
        """The latest decision on the image data with this digest in the folder of `path`, under any name."""
        return self._newest(
            f"digest = :digest AND {DIRECTLY_IN.format('path')}",
            {"digest": digest, **directly_in(path.parent)},
        )

    def latest_written(self, sidecar: Path) -> Decision | None:
        """The latest decision of which anything was written into `sidecar`: what we left there last."""
        return self._newest(
            "sidecar = ? AND (outcome = ? OR written IS NOT NULL)", path_bytes(sidecar), Outcome.WRITTEN
        )

    def records(self, sidecar: Path, digest: str | None) -> tuple[str, ...]:
        """Every record of what was written into `sidecar`, or for the image data with this digest wherever
        it lay, newest first."""
        rows = self._database.rows(
            """SELECT id, written FROM decisions WHERE sidecar = ? AND written IS NOT NULL
                UNION SELECT id, written FROM decisions WHERE digest = ? AND written IS NOT NULL
                ORDER BY id DESC""",
            (path_bytes(sidecar), digest or None),
        )
        return tuple(row["written"] for row in rows)

    def count_in(self, folder: Path) -> tuple[int, ...]:
        """Numbers that change with each decision on a photo that lies in `folder` itself, and on the same
        image data wherever it lies: how many there are, and the number of the newest."""
        of_path = DIRECTLY_IN.format("path")
        counts: list[int] = []
        for which in (of_path, f"digest IN (SELECT digest FROM files WHERE {of_path})"):
            sql = f"SELECT COUNT(*) AS count, COALESCE(MAX(id), 0) AS newest FROM decisions WHERE {which}"
            row = self._database.row(sql, directly_in(folder))
            counts += (row["count"], row["newest"]) if row else ()
        return tuple(counts)

    def latest_in(self, folder: Path) -> list[Decision]:
        """The latest decision on each photo that lies in `folder` itself, by path."""
        rows = self._database.rows(
            f"""SELECT * FROM decisions WHERE id IN
                    (SELECT MAX(id) FROM decisions WHERE {DIRECTLY_IN.format("path")} GROUP BY path)
                ORDER BY path""",
            directly_in(folder),
        )
        return [self._decision(row) for row in rows]

    def paths_under(self, folder: Path) -> tuple[Path, ...]:
        """Every photo at or under `folder` on which anything was ever decided, there still or not."""
        start, end = span(folder)
        rows = self._database.rows(
            "SELECT DISTINCT path FROM decisions WHERE path = ? OR (path >= ? AND path < ?) ORDER BY path",
            (start[:-1] or start, start, end),
        )
        return tuple(path_of(row["path"]) for row in rows)

    def _newest(self, where: str, *parameters: Any) -> Decision | None:
        named = parameters[0] if parameters and isinstance(parameters[0], dict) else parameters
        row = self._database.row(f"SELECT * FROM decisions WHERE {where} ORDER BY id DESC LIMIT 1", named)
        return self._decision(row) if row else None

    def _decision(self, row: sqlite3.Row) -> Decision:
        with self._database.held(f"decision {row['id']} on {row['printable']}"):
            return Decision(
                path=path_of(row["path"]),
                digest=row["digest"],
                verdict=from_json(row["verdict"], Verdict),
                outcome=Outcome(row["outcome"]),
                decided_at=moment_of(row["decided_at"]),
                refused_because=row["refused_because"],
                sidecar=path_of(row["sidecar"]) if row["sidecar"] is not None else None,
                sidecar_before=row["sidecar_before"],
                sidecar_after=row["sidecar_after"],
                written=row["written"],
            )
