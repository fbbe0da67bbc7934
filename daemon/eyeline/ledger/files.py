"""The files that were seen, how far each has come, and who is at work on it: the daemon's queue."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from eyeline.errors import printable
from eyeline.ledger.conversion import (
    DIRECTLY_IN,
    directly_in,
    moment_of,
    path_bytes,
    path_of,
    span,
    storable,
    utc_text,
)
from eyeline.ledger.database import Database
from eyeline.ledger.records import FolderRow, KnownFile, State
from eyeline.system.process import is_alive
from eyeline.terms.file_status import FileStatus

LONGEST_WAIT = timedelta(days=1)  # a date further off than this was made while the clock was wrong
_PAGE_ROWS = 500  # rows fetched at a time: enough to be quick, few enough to cost no memory

_IS_DUE = """state IN ('arrived', 'postponed')
    AND (not_before IS NULL OR not_before <= :now OR not_before > :absurd)
    AND (claimed_until IS NULL OR claimed_until <= :now OR claimed_until > :absurd)"""
_SAME_STATUS = "size = :size AND mtime_ns = :mtime_ns AND inode = :inode"
_NO_CLAIM = "claimed_by = NULL, claimed_until = NULL"


class Files:
    """Files by path. Every method raises LedgerFailed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def remember(self, path: Path, status: FileStatus, now: datetime) -> bool:
        """Note that `path` is there; True where it is new or changed and has thus arrived."""
        changed = self._database.change(
            f"""INSERT INTO files (path, printable, size, mtime_ns, inode, device, state, changed_at)
                VALUES (:path, :printable, :size, :mtime_ns, :inode, :device, 'arrived', :now)
                ON CONFLICT (path) DO UPDATE SET
                    size = :size, mtime_ns = :mtime_ns, inode = :inode, device = :device,
                    state = 'arrived', digest = NULL, orientation = NULL, attempts = 0,
                    not_before = NULL, {_NO_CLAIM}, problem = NULL, changed_at = :now
                WHERE NOT ({_SAME_STATUS})""",
            {
                "path": path_bytes(path),
                "printable": printable(path),
                "now": utc_text(now),
                **_columns(status),
            },
        )
        return changed == 1

    def known(self, path: Path) -> KnownFile | None:
        """What is known about `path`; compare its `status` to see whether the file is unchanged."""
        row = self._database.row("SELECT * FROM files WHERE path = ?", (path_bytes(path),))
        return self._file(row) if row else None

    def may_be_measured(self, path: Path, size: int) -> bool:
        """Whether the photo at `path`, of so many bytes, may have been measured before: here, or as a file of
        the same size under another name. What this passes over is a copy whose metadata is another."""
        row = self._database.row(
            """SELECT EXISTS (SELECT 1 FROM files WHERE size = ? AND digest IS NOT NULL)
                OR EXISTS (SELECT 1 FROM decisions WHERE path = ?) AS known""",
            (size, path_bytes(path)),
        )
        return row is not None and bool(row["known"])

    def due(self, now: datetime, limit: int) -> tuple[Path, ...]:
        """At most `limit` files that wait to be measured and that nobody has claimed."""
        rows = self._database.rows(
            f"SELECT path FROM files WHERE {_IS_DUE} ORDER BY changed_at, path LIMIT :limit",
            {"limit": limit, **_times(now)},
        )
        return tuple(path_of(row["path"]) for row in rows)

    def claim(self, path: Path, now: datetime, lease: timedelta) -> bool:
        """Claim `path` for this process until `now` + `lease`; False where it is not due or taken."""
        _sane(lease)
        changed = self._database.change(
            f"""UPDATE files SET claimed_by = :by, claimed_until = :until, attempts = attempts + 1
                WHERE path = :path AND {_IS_DUE}""",
            {"path": path_bytes(path), "by": os.getpid(), "until": utc_text(now + lease), **_times(now)},
        )
        return changed == 1

    def free_claims_of_the_dead(self) -> int:
        """Give up the claims of processes that no longer run, at start-up; how many there were."""
        rows = self._database.rows("SELECT DISTINCT claimed_by FROM files WHERE claimed_by IS NOT NULL")
        dead = [row["claimed_by"] for row in rows if not is_alive(row["claimed_by"])]
        return sum(
            self._database.change(f"UPDATE files SET {_NO_CLAIM} WHERE claimed_by = ?", (process,))
            for process in dead
        )

    def measured(self, path: Path, status: FileStatus, digest: str, orientation: int, now: datetime) -> bool:
        """`path` was measured when it had `status`; False where it has changed since and stays arrived."""
        changed = self._database.change(
            f"""UPDATE files SET state = 'measured', digest = :digest, orientation = :orientation,
                    not_before = NULL, {_NO_CLAIM}, problem = NULL, changed_at = :now
                WHERE path = :path AND {_SAME_STATUS}""",
            {
                "path": path_bytes(path),
                "digest": digest,
                "orientation": orientation,
                "now": utc_text(now),
                **_columns(status),
            },
        )
        return changed == 1

    def written(self, path: Path, now: datetime) -> bool:
        """All that was to be written for `path` is written; False where it is not measured (any more)."""
        changed = self._database.change(
            "UPDATE files SET state = 'written', changed_at = ? WHERE path = ? AND state = 'measured'",
            (utc_text(now), path_bytes(path)),
        )
        return changed == 1

    def postpone(self, path: Path, until: datetime, problem: str, now: datetime) -> None:
        """Try `path` again, but not before `until` (at most LONGEST_WAIT from `now`, else ValueError)."""
        _sane(until - now)
        self._database.change(
            f"""UPDATE files SET state = 'postponed', not_before = ?, {_NO_CLAIM}, problem = ?,
                    changed_at = ? WHERE path = ?""",
            (utc_text(until), storable(problem), utc_text(now), path_bytes(path)),
        )

    def set_aside(self, path: Path, problem: str, now: datetime) -> None:
        """Leave `path` alone until it changes or somebody asks for it `again`."""
        self._database.change(
            f"""UPDATE files SET state = 'set aside', not_before = NULL, {_NO_CLAIM}, problem = ?,
                    changed_at = ? WHERE path = ?""",
            (storable(problem), utc_text(now), path_bytes(path)),
        )

    def again(self, path: Path, now: datetime) -> None:
        """Treat `path` as if it had just arrived."""
        self._database.change(
            f"""UPDATE files SET state = 'arrived', digest = NULL, orientation = NULL, attempts = 0,
                    not_before = NULL, {_NO_CLAIM}, problem = NULL, changed_at = ? WHERE path = ?""",
            (utc_text(now), path_bytes(path)),
        )

    def gone(self, path: Path) -> None:
        """`path` is no longer there. What was measured and decided stays, for when it turns up elsewhere."""
        self._database.change("DELETE FROM files WHERE path = ?", (path_bytes(path),))

    def under(self, folder: Path, state: State | None = None) -> Iterator[KnownFile]:
        """Every known file under `folder` (in `state`), by path."""
        after, end = span(folder)
        while True:
            rows = self._database.rows(
                """SELECT * FROM files WHERE path > ? AND path < ? AND (? IS NULL OR state = ?)
                   ORDER BY path LIMIT ?""",
                (after, end, state, state, _PAGE_ROWS),
            )
            yield from map(self._file, rows)
            if len(rows) < _PAGE_ROWS:
                return
            after = rows[-1]["path"]

    def in_folder(self, folder: Path) -> list[FolderRow]:
        """Every known file that lies in `folder` itself, by path."""
        rows = self._database.rows(
            f"""SELECT path, size, mtime_ns, inode, device, state, photos.rowid AS measured
                FROM files LEFT JOIN photos USING (digest, orientation)
                WHERE {DIRECTLY_IN.format("path")} ORDER BY path""",
            directly_in(folder),
        )
        return [
            FolderRow(path_of(row["path"]), _status(row), State(row["state"]), row["measured"])
            for row in rows
        ]

    def _file(self, row: sqlite3.Row) -> KnownFile:
        with self._database.held(f"what is kept about {row['printable']}"):
            return KnownFile(
                path=path_of(row["path"]),
                status=_status(row),
                state=State(row["state"]),
                digest=row["digest"],
                attempts=row["attempts"],
                not_before=moment_of(row["not_before"]) if row["not_before"] else None,
                problem=row["problem"],
            )


def _status(row: sqlite3.Row) -> FileStatus:
    return FileStatus(row["size"], int(row["mtime_ns"]), int(row["inode"]), int(row["device"]))


def _columns(status: FileStatus) -> dict[str, int | str]:
    return {
        "size": status.size,
        "mtime_ns": str(status.mtime_ns),
        "inode": str(status.inode),
        "device": str(status.device),
    }


def _times(now: datetime) -> dict[str, str]:
    return {"now": utc_text(now), "absurd": utc_text(now + LONGEST_WAIT)}


def _sane(wait: timedelta) -> None:
    if wait > LONGEST_WAIT:
        raise ValueError(f"{wait} is longer than {LONGEST_WAIT}")
