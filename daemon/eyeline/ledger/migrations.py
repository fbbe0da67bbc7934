"""The ledger's tables, as the steps that lead to them. A released step is never edited: add another."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from eyeline.ledger.conversion import utc_text

APPLICATION_ID = 0x65796C6E  # "eyln": marks the file as ours in the header of every SQLite file


@dataclass(frozen=True, slots=True)
class Migration:
    """One step, as statements that run in one transaction together with the record that they ran."""

    name: str
    statements: tuple[str, ...]


# Paths are bytes, since a file name need not be text; `printable` is for people with an SQL prompt.
# Numbers of a file's stamp are text where a file system may exceed 63 bits.
MIGRATIONS = (
    Migration(
        "files, photos, decisions and problems",
        (
            """CREATE TABLE files (
                path BLOB PRIMARY KEY,
                printable TEXT NOT NULL,
                size INTEGER NOT NULL,
                mtime_ns TEXT NOT NULL,
                inode TEXT NOT NULL,
                device TEXT NOT NULL,
                digest TEXT,
                orientation INTEGER,
                state TEXT NOT NULL
                    CHECK (state IN ('arrived', 'measured', 'written', 'postponed', 'set aside')),
                attempts INTEGER NOT NULL DEFAULT 0,
                not_before TEXT,
                claimed_by INTEGER,
                claimed_until TEXT,
                problem TEXT,
                changed_at TEXT NOT NULL
            ) STRICT, WITHOUT ROWID""",
            "CREATE INDEX files_by_photo ON files (digest, orientation)",
            "CREATE INDEX files_by_state ON files (state)",
            """CREATE TABLE photos (
                digest TEXT NOT NULL,
                orientation INTEGER NOT NULL,
                width INTEGER NOT NULL,
                height INTEGER NOT NULL,
                stored_width INTEGER NOT NULL,
                stored_height INTEGER NOT NULL,
                capture TEXT NOT NULL,
                measurements TEXT NOT NULL,
                points TEXT,
                why_sitter TEXT NOT NULL,
                milliseconds TEXT NOT NULL,
                eyeline_version TEXT NOT NULL,
                measured_at TEXT NOT NULL,
                PRIMARY KEY (digest, orientation)
            ) STRICT""",
            """CREATE TABLE decisions (
                id INTEGER PRIMARY KEY AUTOINCREMENT,
                path BLOB NOT NULL,
                printable TEXT NOT NULL,
                digest TEXT NOT NULL,
                genre TEXT NOT NULL,
                stars INTEGER,
                rules_digest TEXT NOT NULL,
                verdict TEXT NOT NULL,
                outcome TEXT NOT NULL,
                refused_because TEXT,
                sidecar BLOB,
                sidecar_before TEXT,
                sidecar_after TEXT,
                written TEXT,
                decided_at TEXT NOT NULL
            ) STRICT""",
            "CREATE INDEX decisions_by_path ON decisions (path)",
            "CREATE INDEX decisions_by_digest ON decisions (digest)",
            "CREATE INDEX decisions_by_sidecar ON decisions (sidecar)",
            """CREATE TRIGGER decisions_are_never_changed BEFORE UPDATE ON decisions
                BEGIN SELECT RAISE(ABORT, 'decisions are added, never changed'); END""",
            """CREATE TABLE problems (
                id INTEGER PRIMARY KEY AUTOINCREMENT,
                path BLOB,
                printable TEXT,
                what TEXT NOT NULL,
                cure TEXT NOT NULL,
                at TEXT NOT NULL
            ) STRICT""",
            "CREATE INDEX problems_by_path ON problems (path)",
            "CREATE INDEX problems_by_time ON problems (at)",
        ),
    ),
    Migration(
        "pre-images of sidecars",
        (
            """CREATE TABLE pre_images (
                sidecar BLOB PRIMARY KEY,
                printable TEXT NOT NULL,
                content BLOB,
                left_as TEXT NOT NULL,
                kept_at TEXT NOT NULL
            ) STRICT, WITHOUT ROWID""",
            "CREATE INDEX pre_images_by_time ON pre_images (kept_at)",
        ),
    ),
    Migration(
        "the edition of a photo's measures, 0 for all that were measured before there were editions",
        (
            "ALTER TABLE photos ADD COLUMN measures_edition INTEGER NOT NULL DEFAULT 0",
            "ALTER TABLE photos DROP COLUMN eyeline_version",
        ),
    ),
    Migration(
        "what is about to be written into a sidecar",
        (
            """CREATE TABLE intentions (
                sidecar BLOB PRIMARY KEY,
                printable TEXT NOT NULL,
                written TEXT NOT NULL,
                at TEXT NOT NULL
            ) STRICT, WITHOUT ROWID""",
        ),
    ),
    Migration(
        "folders in which all is decided and written, and what that was derived from",
        (
            """CREATE TABLE settled (
                folder BLOB PRIMARY KEY,
                printable TEXT NOT NULL,
                inputs TEXT NOT NULL,
                fresh TEXT NOT NULL,
                summary TEXT NOT NULL,
                settled_at TEXT NOT NULL
            ) STRICT, WITHOUT ROWID""",
        ),
    ),
    Migration(
        "what went out to clients, and what they chose",
        (
            """CREATE TABLE proofs (
                id INTEGER PRIMARY KEY AUTOINCREMENT,
                path BLOB NOT NULL,
                printable TEXT NOT NULL,
                digest TEXT NOT NULL,
                made_as TEXT NOT NULL,
                at TEXT NOT NULL
            ) STRICT""",
            "CREATE INDEX proofs_by_path ON proofs (path)",
            """CREATE TABLE choices (
                id INTEGER PRIMARY KEY AUTOINCREMENT,
                path BLOB NOT NULL,
                printable TEXT NOT NULL,
                digest TEXT NOT NULL,
                words TEXT NOT NULL,
                source TEXT NOT NULL,
                wrote INTEGER NOT NULL,
                at TEXT NOT NULL,
                taken_back_at TEXT
            ) STRICT""",
            "CREATE INDEX choices_by_path ON choices (path)",
        ),
    ),
    Migration(
        "who sat in which photo, where that was said, and who sits now",
        (
            """CREATE TABLE sitters (
                digest TEXT PRIMARY KEY,
                path BLOB NOT NULL,
                printable TEXT NOT NULL,
                sitter TEXT NOT NULL,
                said_at TEXT,
                noted_at TEXT NOT NULL
            ) STRICT, WITHOUT ROWID""",
            "CREATE INDEX sitters_by_path ON sitters (path)",
            """CREATE TABLE seated_now (
                folder BLOB PRIMARY KEY,
                printable TEXT NOT NULL,
                sitter TEXT NOT NULL,
                said_at TEXT NOT NULL
            ) STRICT, WITHOUT ROWID""",
        ),
    ),
    Migration(
        "files that were delivered",
        (
            """CREATE TABLE deliveries (
                target BLOB PRIMARY KEY,
                printable TEXT NOT NULL,
                path BLOB NOT NULL,
                digest TEXT NOT NULL,
                inputs TEXT NOT NULL,
                content TEXT NOT NULL,
                size_bytes INTEGER NOT NULL,
                modified_ns INTEGER NOT NULL,
                at TEXT NOT NULL
            ) STRICT, WITHOUT ROWID""",
            "CREATE INDEX deliveries_by_path ON deliveries (path)",
        ),
    ),
    Migration(
        "what clients named and no frame is called",
        (
            """CREATE TABLE named_in_vain (
                id INTEGER PRIMARY KEY AUTOINCREMENT,
                path BLOB NOT NULL,
                printable TEXT NOT NULL,
                words TEXT NOT NULL,
                source TEXT NOT NULL,
                at TEXT NOT NULL
            ) STRICT""",
            "CREATE INDEX named_in_vain_by_path ON named_in_vain (path)",
        ),
    ),
    Migration(
        "measured files by size, by which one that comes again is told from a new one",
        ("CREATE INDEX files_by_size ON files (size) WHERE digest IS NOT NULL",),
    ),
)


def version(connection: sqlite3.Connection) -> int:
    """How many migrations the file has been through."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(
    connection: sqlite3.Connection, now: datetime, migrations: Sequence[Migration] = MIGRATIONS
) -> None:
    """Bring the file to the newest version, each step whole or not at all. Raises sqlite3.Error.

    `connection` must be in autocommit mode. Another process may be at it too: each step looks again
    once it holds the write lock.
    """
    while version(connection) < len(migrations):
        connection.execute("BEGIN IMMEDIATE")
        try:
            done = version(connection)
            if done < len(migrations):
                _apply(connection, done + 1, migrations[done], now)
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


def _apply(connection: sqlite3.Connection, number: int, step: Migration, now: datetime) -> None:
    if number == 1:
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute("CREATE TABLE migrations (number INTEGER PRIMARY KEY, name TEXT, at TEXT) STRICT")
    for statement in step.statements:
        connection.execute(statement)
    connection.execute("INSERT INTO migrations VALUES (?, ?, ?)", (number, step.name, utc_text(now)))
    connection.execute(f"PRAGMA user_version = {number:d}")
