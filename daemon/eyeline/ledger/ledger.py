"""The ledger: everything eyeline knows about every photo, what it decided and why."""

from __future__ import annotations

import json
import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, suppress
from datetime import datetime
from pathlib import Path

from eyeline.errors import LedgerCorrupt, LedgerFailed, LedgerOutdated, printable
from eyeline.ledger.choices import Choices
from eyeline.ledger.conversion import json_text, moment_of, path_of, span
from eyeline.ledger.database import PATIENCE_SECONDS, PRIVATE_FILE, Database
from eyeline.ledger.decisions import Decisions
from eyeline.ledger.deliveries import Deliveries
from eyeline.ledger.files import Files
from eyeline.ledger.intentions import Intentions
from eyeline.ledger.migrations import version
from eyeline.ledger.photos import Photos
from eyeline.ledger.pre_images import PreImages
from eyeline.ledger.problems import Problems
from eyeline.ledger.proofs import Proofs
from eyeline.ledger.records import State, Status
from eyeline.ledger.settled import SettledFolders
from eyeline.ledger.sitters import Sitters
from eyeline.system.whole_file import made_whole

_TABLES = (
    *("files", "photos", "decisions", "problems", "pre_images", "intentions", "settled"),
    *("proofs", "choices", "named_in_vain", "deliveries"),
    *("sitters", "seated_now"),
)
_JSON_COLUMNS = (
    *("capture", "measurements", "points", "milliseconds", "verdict", "written"),
    *("fresh", "summary"),
)
_LATEST = "SELECT path, MAX(id) AS id FROM decisions GROUP BY path"


class Ledger:
    """One open ledger; use it as a context manager.

    One process writes, any number read at the same time. It may be shared between the threads of a
    process. `files`, `photos`, `decisions`, `problems`, `pre_images`, `intentions`, `settled`, `proofs`,
    `choices`, `sitters`, `deliveries` hold what their names say.
    """

    def __init__(self, path: Path, now: datetime, patience_seconds: float = PATIENCE_SECONDS) -> None:
        """Open the ledger at `path` to write, made or brought up to date at the moment `now`.

        Raises LedgerFailed, and LedgerCorrupt where the file is damaged: it stays as it is until
        somebody calls `keep_aside`.
        """
        self._use(Database(path, now, patience_seconds))

    @classmethod
    def reader(cls, path: Path) -> Ledger:
        """Open the ledger at `path` to read only. Raises LedgerFailed, also where there is none."""
        ledger = cls.__new__(cls)
        ledger._use(Database(path, None))
        return ledger

    @classmethod
    def up_to_date(cls, path: Path, now: datetime) -> Ledger:
        """Open the ledger at `path` to read only; one of an older eyeline is brought up to date before, at
        the moment `now`. Raises as `reader` and, where it is older, as opening it to write."""
        try:
            return cls.reader(path)
        except LedgerOutdated:
            cls(path, now).close()
            return cls.reader(path)

    def _use(self, database: Database) -> None:
        self._database = database
        self.path = database.path
        self.files = Files(database)
        self.photos = Photos(database)
        self.decisions = Decisions(database)
        self.problems = Problems(database)
        self.pre_images = PreImages(database)
        self.intentions = Intentions(database)
        self.settled = SettledFolders(database)
        self.proofs = Proofs(database)
        self.choices = Choices(database)
        self.sitters = Sitters(database)
        self.deliveries = Deliveries(database)

    def __enter__(self) -> Ledger:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._database.close()

    def transaction(self, durable: bool = True) -> AbstractContextManager[None]:
        """`with ledger.transaction():` all that is recorded inside is recorded together or not at all.

        Not `durable`: a power cut may take it back, for what can be found out again.
        """
        return self._database.transaction(durable)

    def try_writing(self) -> None:
        """Find out, changing nothing, whether the file can be written. Raises LedgerFailed where not."""
        self._database.try_writing()

    def stay_in_place(self) -> None:
        """Raise LedgerFailed where the file was deleted or replaced since it was opened."""
        self._database.stay_in_place()

    def status(self) -> Status:
        """What is in the ledger, in numbers."""
        rows = self._database.rows
        states = {
            row["state"]: row["n"] for row in rows("SELECT state, COUNT(*) n FROM files GROUP BY state")
        }
        stars = rows(
            f"""SELECT stars, COUNT(*) n FROM ({_LATEST}) JOIN decisions USING (id)
                JOIN files ON files.path = decisions.path GROUP BY stars"""
        )
        counts = {table: rows(f"SELECT COUNT(*) FROM {table}")[0][0] for table in _TABLES}
        last = rows(
            "SELECT MAX(at) FROM (SELECT MAX(changed_at) at FROM files"
            " UNION ALL SELECT MAX(decided_at) FROM decisions UNION ALL SELECT MAX(at) FROM problems)"
        )[0][0]
        size = 0
        for part in (self.path, Path(f"{self.path}-wal")):
            with suppress(FileNotFoundError):
                size += part.stat().st_size
        return Status(
            photos=counts["photos"],
            files={state: states.get(state, 0) for state in State},
            stars={row["stars"]: row["n"] for row in stars},
            decisions=counts["decisions"],
            problems=counts["problems"],
            last_activity=moment_of(last) if last else None,
            size_bytes=size,
        )

    def forget(self, folder: Path) -> int:
        """Erase all that is kept about `folder` and what lies under it; how many rows that was.

        What was erased is overwritten in the file too. Photos that also lie elsewhere are kept.
        Backups, exports and ledgers kept aside are files of their own and are not touched.
        Raises LedgerFailed; where the rows are erased but a reader keeps the old pages alive, it says so.
        """
        start, end = span(folder)
        inside = "({0} = ? OR ({0} >= ? AND {0} < ?))"
        limits = (start[:-1] or start, start, end)
        with self.transaction():
            change = self._database.change
            erased = change(f"DELETE FROM files WHERE {inside.format('path')}", limits)
            erased += change(
                f"DELETE FROM decisions WHERE {inside.format('path')} OR {inside.format('sidecar')}",
                limits * 2,
            )
            for table in ("problems", "proofs", "choices", "named_in_vain"):
                erased += change(f"DELETE FROM {table} WHERE {inside.format('path')}", limits)
            erased += change(
                f"DELETE FROM deliveries WHERE {inside.format('path')} OR {inside.format('target')}",
                limits * 2,
            )
            for table in ("pre_images", "intentions"):
                erased += change(f"DELETE FROM {table} WHERE {inside.format('sidecar')}", limits)
            erased += change(
                """DELETE FROM photos WHERE digest NOT IN (SELECT digest FROM files WHERE digest IS NOT NULL)
                   AND digest NOT IN (SELECT digest FROM decisions)"""
            )
            erased += change(
                f"""DELETE FROM sitters WHERE {inside.format("path")}
                    OR digest NOT IN (SELECT digest FROM photos)""",
                limits,
            )
            erased += change(f"DELETE FROM seated_now WHERE {inside.format('folder')}", limits)
            change("DELETE FROM settled")  # they count on the numbers of rows, which VACUUM gives anew
        self._database.maintain(lambda connection: connection.execute("VACUUM"))
        if not self._empty_log():
            raise LedgerFailed(
                f"what was kept about {printable(folder)} is erased, but another program is reading the "
                "ledger and old pages remain in its log",
                self.path,
                "Close the other program, then do it again",
            )
        return erased

    def about(self, folder: Path) -> int:
        """How many rows are kept about `folder` and what lies under it, photos elsewhere left out."""
        start, end = span(folder)
        inside = "({0} = :it OR ({0} >= :start AND {0} < :end))"
        limits = {"it": start[:-1] or start, "start": start, "end": end}
        tables = (
            *(("files", "path"), ("decisions", "path"), ("problems", "path")),
            *(("pre_images", "sidecar"), ("intentions", "sidecar")),
            *(("proofs", "path"), ("choices", "path"), ("named_in_vain", "path"), ("deliveries", "path")),
            *(("sitters", "path"), ("seated_now", "folder")),
        )
        return sum(
            self._database.rows(f"SELECT COUNT(*) FROM {table} WHERE {inside.format(column)}", limits)[0][0]
            for table, column in tables
        )

    def check(self, thorough: bool = True) -> tuple[str, ...]:
        """What SQLite finds wrong with the file; nothing where it is sound. Raises LedgerFailed.

        `thorough`: indices are compared with their tables too, which takes several times as long.
        """
        try:
            pragma = "PRAGMA integrity_check" if thorough else "PRAGMA quick_check"
            found = [row[0] for row in self._database.rows(pragma)]
        except LedgerCorrupt as error:  # so damaged that the check itself gives up
            return (error.what,)
        return () if found == ["ok"] else tuple(found)

    def backup(self, target: Path) -> None:
        """Copy the ledger as it is at this moment to `target`, private to the user, whole or not at all.

        Raises LedgerFailed, also where `target` is there already: no backup is ever written over.
        """
        try:
            with made_whole(target, PRIVATE_FILE) as unnamed, closing(sqlite3.connect(unnamed)) as copy:
                self._database.maintain(lambda connection: connection.backup(copy))
                copy.execute("PRAGMA journal_mode = DELETE")  # so that the backup is one file
        except (OSError, sqlite3.Error) as error:
            why = error.strerror if isinstance(error, OSError) else error
            raise LedgerFailed(
                f"the ledger cannot be backed up: {why}",
                target,
                "Name a new file on a disk with free space",
            ) from error

    def export(self) -> Iterator[str]:
        """The whole ledger as JSON, one row a line, as it was when the first line was asked for.

        Paths are text in which bytes that are no text are lone surrogates (as os.fsdecode gives them).
        """
        snapshot = self._database.second()
        try:
            connection = snapshot.connection
            connection.execute("BEGIN")
            yield json_text({"eyeline_ledger": version(connection)})
            for table in _TABLES:
                for row in connection.execute(f"SELECT * FROM {table}"):
                    yield json_text(
                        {"table": table, **{key: _plain(key, value) for key, value in dict(row).items()}}
                    )
        finally:
            snapshot.close()

    def upkeep(self, now: datetime) -> None:
        """What is due about once an hour: old problems and pre-images go, statistics are renewed."""
        self.problems.prune(now)
        self.pre_images.prune(now)
        self._database.maintain(lambda connection: connection.execute("PRAGMA optimize"))
        self._empty_log()

    def _empty_log(self) -> bool:
        """Move the write-ahead log into the file; False where a reader stands in the way."""
        row = self._database.maintain(
            lambda connection: connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        )
        return bool(row[0] == 0)


def _plain(column: str, value: object) -> object:
    if isinstance(value, bytes) and column == "content":
        return zlib.decompress(value).decode("utf-8", "backslashreplace")
    if isinstance(value, bytes):
        return str(path_of(value))
    if isinstance(value, str) and column in _JSON_COLUMNS:
        return json.loads(value)
    return value
