"""SQLite's result codes in plain words, each with its cure. Source: https://sqlite.org/rescode.html."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from eyeline.errors import LedgerCorrupt, LedgerFailed

_PRIMARY_CODE = 0xFF  # extended result codes keep the primary one in their lowest byte
CURE_OF_DAMAGE = (
    "It is left as it is. Put back a backup, or move it away together with its -wal file: "
    "eyeline then begins a new ledger"
)

_IN_WORDS: dict[int, tuple[type[LedgerFailed], str, str]] = {
    sqlite3.SQLITE_BUSY: (
        LedgerFailed,
        "the ledger is locked by another program",
        "Close whatever else has it open, then try again",
    ),
    sqlite3.SQLITE_LOCKED: (LedgerFailed, "the ledger is locked by eyeline itself", "Try again"),
    sqlite3.SQLITE_READONLY: (
        LedgerFailed,
        "the ledger cannot be written",
        "Make the file and its folder writable for you, or name another file as the ledger",
    ),
    sqlite3.SQLITE_PERM: (LedgerFailed, "the ledger may not be opened", "Check who owns the file"),
    sqlite3.SQLITE_FULL: (
        LedgerFailed,
        "the disk is full, so the ledger cannot be written",
        "Free some space; nothing that was recorded before is lost",
    ),
    sqlite3.SQLITE_IOERR: (LedgerFailed, "the disk under the ledger reports errors", "Check the disk"),
    sqlite3.SQLITE_CANTOPEN: (
        LedgerFailed,
        "the ledger cannot be opened",
        "Check that its folder is there and writable for you, or name another file as the ledger",
    ),
    sqlite3.SQLITE_CORRUPT: (LedgerCorrupt, "the ledger is damaged", CURE_OF_DAMAGE),
    sqlite3.SQLITE_NOTADB: (LedgerCorrupt, "this ledger is damaged or no ledger at all", CURE_OF_DAMAGE),
}


def in_words(error: sqlite3.Error, path: Path) -> LedgerFailed:
    """What `error` of the ledger at `path` means and what to do about it."""
    code = getattr(error, "sqlite_errorcode", 0) & _PRIMARY_CODE
    kind, what, cure = _IN_WORDS.get(
        code,
        (LedgerFailed, "the ledger does not work", "Put back a backup, or name another file as the ledger"),
    )
    return kind(f"{what} ({error})", path, cure)
