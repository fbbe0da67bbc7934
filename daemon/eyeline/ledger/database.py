"""The SQLite file under the ledger: private to the user, in WAL mode, its errors in plain words."""

from __future__ import annotations

import ctypes
import os
import sqlite3
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, nullcontext, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from eyeline.errors import LedgerCorrupt, LedgerFailed, LedgerOutdated
from eyeline.ledger.failures import CURE_OF_DAMAGE, in_words
from eyeline.ledger.migrations import APPLICATION_ID, MIGRATIONS, migrate, version
from eyeline.system.whole_file import made_whole

T = TypeVar("T")
Parameters = Sequence[Any] | Mapping[str, Any]
PATIENCE_SECONDS = 10.0  # how long to wait for another process to finish writing; a write takes milliseconds
GONE = "the ledger is gone, or another file lies in its place"
GONE_CURE = "No sidecar is written until a ledger lies there again: put it back, or start eyeline anew"
PRIVATE_FILE = 0o600
_PRIVATE_FOLDER = 0o700


class Database:
    """One open connection, safe to share between threads; transactions of one thread may nest."""

    def __init__(self, path: Path, now: datetime | None, patience_seconds: float = PATIENCE_SECONDS) -> None:
        """Open `path`, for reading only where `now` is None; else make or migrate it first.

        Raises LedgerFailed, LedgerCorrupt.
        """
        self.path = path
        self._lock = threading.RLock()
        self._depth = 0
        with self._told(), _reachable(path):
            if now is not None:
                _make_if_absent(path, now)
            elif not path.exists():
                raise LedgerFailed(
                    "nothing is measured yet, there is no ledger",
                    path,
                    "Begin with: eyeline run FOLDER --dry-run",
                )
            if path.stat().st_size == 0:
                raise LedgerCorrupt("this ledger is an empty file", path, CURE_OF_DAMAGE)
            self._identity = _identity_of(path)
            self.connection = _connect(path, "ro" if now is None else "rw", patience_seconds)
            try:
                self._prepare(now)
            except BaseException:
                self.connection.close()
                raise

    def _prepare(self, now: datetime | None) -> None:
        found = version(self.connection)
        if self.connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
            raise LedgerFailed(
                "this file is not a ledger of eyeline", self.path, "Name another file as the ledger"
            )
        if found > len(MIGRATIONS):
            raise LedgerFailed(
                f"this ledger is of version {found}, made by a newer eyeline; "
                f"this one knows versions up to {len(MIGRATIONS)}",
                self.path,
                "Update eyeline, or name another file as the ledger",
            )
        if now is None and found < len(MIGRATIONS):
            cure = "Any eyeline run or eyeline judge brings it up to date"
            raise LedgerOutdated(f"this ledger is of the older version {found}", self.path, cure)
        if now is None:
            return
        mode = self.connection.execute("PRAGMA journal_mode = WAL").fetchone()[0]
        if mode != "wal":
            raise LedgerFailed(
                "the file system does not allow SQLite's write-ahead log",
                self.path,
                "Keep the ledger on a local disk",
            )
        if self.path.stat().st_mode & 0o077:
            self.path.chmod(PRIVATE_FILE)  # SQLite gives the -wal and -shm files the same mode
        # FULL: a decision that was committed survives a power cut, as the sidecar that it explains does.
        self.connection.execute("PRAGMA synchronous = FULL")
        self.connection.execute("PRAGMA secure_delete = ON")
        migrate(self.connection, now)
        self.try_writing()  # what stands in the way is told of now, not at the first photo

    def try_writing(self) -> None:
        """Write what is there already; first take up a ledger that lies in the place of the open one.

        Raises LedgerFailed where the file cannot be written, or where no sound ledger lies there.
        """
        with self._lock:
            if self._depth == 0 and not self._is_in_place():
                self._take_up_what_is_there()
        with self.transaction():
            self.connection.execute(f"PRAGMA user_version = {len(MIGRATIONS):d}")

    def close(self) -> None:
        """Close the connection; nothing is lost by not doing so."""
        with self._lock:
            self.connection.close()

    @contextmanager
    def transaction(self, durable: bool = True) -> Iterator[None]:
        """All changes inside happen together or, when an exception leaves it, not at all.

        Inside another transaction of the same thread it becomes a part of that one. Not `durable`: it does
        not wait for the disk, so a power cut may take it back, whole, unless a durable one came after it.
        """
        with self._lock, self._told(), nullcontext() if durable or self._depth else self._swift():
            if self._depth == 0:
                self.stay_in_place()
                self.connection.execute("BEGIN IMMEDIATE")
            self._depth += 1
            try:
                yield
                if self._depth == 1:
                    self.connection.execute("COMMIT")
            except BaseException:
                if self._depth == 1 and self.connection.in_transaction:
                    self.connection.execute("ROLLBACK")
                raise
            finally:
                self._depth -= 1

    @contextmanager
    def _swift(self) -> Iterator[None]:
        """A commit inside is written, and reaches the disk when the system or a later one sees to it."""
        self.connection.execute("PRAGMA synchronous = NORMAL")
        try:
            yield
        finally:
            self.connection.execute("PRAGMA synchronous = FULL")

    def change(self, sql: str, parameters: Parameters = ()) -> int:
        """Run one statement in a transaction; how many rows it changed."""
        with self.transaction():
            return self.connection.execute(sql, parameters).rowcount

    def add(self, sql: str, parameters: Parameters) -> int:
        """Run one INSERT in a transaction; the number of the new row."""
        with self.transaction():
            return int(self.connection.execute(sql, parameters).lastrowid or 0)

    def rows(self, sql: str, parameters: Parameters = ()) -> list[sqlite3.Row]:
        """All rows that `sql` selects."""
        with self._lock, self._told():
            return self.connection.execute(sql, parameters).fetchall()

    def row(self, sql: str, parameters: Parameters = ()) -> sqlite3.Row | None:
        """The first row that `sql` selects."""
        with self._lock, self._told():
            found: sqlite3.Row | None = self.connection.execute(sql, parameters).fetchone()
            return found

    def maintain(self, action: Callable[[sqlite3.Connection], T]) -> T:
        """Call `action` with the connection, outside any transaction."""
        with self._lock, self._told():
            return action(self.connection)

    def second(self) -> Database:
        """Another connection to the same file, for reading only."""
        return Database(self.path, None)

    @contextmanager
    def held(self, what: str) -> Iterator[None]:
        """Turn the ValueError of a row that cannot be understood into LedgerCorrupt."""
        try:
            yield
        except ValueError as error:
            raise LedgerCorrupt(f"{what} cannot be understood: {error}", self.path, CURE_OF_DAMAGE) from error

    def stay_in_place(self) -> None:
        """Raise LedgerFailed where the open file is deleted or replaced; costs one look at its name."""
        if not self._is_in_place():
            raise LedgerFailed(GONE, self.path, GONE_CURE)

    def _is_in_place(self) -> bool:
        """Whether the file that is open is still the one that a next start would find.

        SQLite goes on writing into a file that was deleted or replaced; nobody would ever read that again.
        """
        return _identity_of(self.path) == self._identity

    def _take_up_what_is_there(self) -> None:
        if not os.path.lexists(self.path):
            raise LedgerFailed(GONE, self.path, GONE_CURE)
        try:
            there = Database(self.path, datetime.now(UTC))
        except LedgerCorrupt as error:  # whoever replaced it may do so again: no reason to give up
            raise LedgerFailed(error.what, self.path, GONE_CURE) from error
        # Closing it would delete the write-ahead log by name, and by now that is the other ledger's.
        _abandon(self.connection)
        self.connection, self._identity = there.connection, there._identity

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.DatabaseError as error:
            if isinstance(error, (sqlite3.IntegrityError, sqlite3.ProgrammingError)):
                raise  # a bug of ours, not a state of the file
            raise in_words(error, self.path) from error


def _identity_of(path: Path) -> tuple[int, int] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_dev, status.st_ino


def _abandon(connection: sqlite3.Connection) -> None:
    """Keep `connection` from ever being closed, also at the end of the program."""
    ctypes.pythonapi.Py_IncRef(ctypes.py_object(connection))


@contextmanager
def _reachable(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise LedgerFailed(
            f"the ledger cannot be opened: {error.strerror or error}",
            path,
            "Make the folder writable for you, or name another file as the ledger",
        ) from error


def _connect(path: Path, mode: str, patience_seconds: float) -> sqlite3.Connection:
    # as_uri escapes ?, # and undecodable bytes, so that no file name can smuggle in an option
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=patience_seconds,
        isolation_level=None,
        check_same_thread=False,
    )
    connection.row_factory = sqlite3.Row
    return connection


def _make_if_absent(path: Path, now: datetime) -> None:
    """Make an empty ledger, complete before it has its name: an empty file is thus always damage."""
    orphans = [log for log in _logs(path) if log.exists()]
    if os.path.lexists(path):
        return
    if orphans:  # else SQLite would play the log of the lost ledger into the new one
        keep_aside(path, now)
    if not path.parent.exists():
        path.parent.mkdir(mode=_PRIVATE_FOLDER, parents=True, exist_ok=True)
        path.parent.chmod(_PRIVATE_FOLDER)
    with (
        suppress(FileExistsError),  # another process was quicker
        made_whole(path, PRIVATE_FILE) as unnamed,
        closing(_connect(unnamed, "rw", PATIENCE_SECONDS)) as connection,
    ):
        migrate(connection, now)


def keep_aside(path: Path, now: datetime) -> Path:
    """Move a damaged ledger away under a dated name, whole, and return that name.

    The write-ahead log goes with it, under the matching name, so that nothing that can still be
    recovered is lost. Raises LedgerFailed.
    """
    stem = f"{path.stem}.damaged-{now:%Y%m%dT%H%M%S}"
    dated = path.with_name(f"{stem}{path.suffix}")
    number = 1
    while any(os.path.lexists(taken) for taken in (dated, *_logs(dated))):
        number += 1
        dated = path.with_name(f"{stem}-{number}{path.suffix}")
    try:
        for old, new in zip((*_logs(path), path), (*_logs(dated), dated), strict=True):
            with suppress(FileNotFoundError):
                old.rename(new)
    except OSError as error:
        raise LedgerFailed(
            f"the damaged ledger cannot be kept aside: {error.strerror}", path, "Move it away by hand"
        ) from error
    return dated


def _logs(path: Path) -> tuple[Path, Path]:
    """The files that SQLite keeps beside a database in WAL mode."""
    return Path(f"{path}-wal"), Path(f"{path}-shm")
