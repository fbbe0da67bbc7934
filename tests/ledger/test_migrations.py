"""Migrations: named, whole or not at all, recorded, and never edited once released."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from hashlib import blake2b
from pathlib import Path

import pytest

from eyeline.errors import LedgerOutdated
from eyeline.ledger import Ledger, State
from eyeline.ledger.migrations import APPLICATION_ID, MIGRATIONS, Migration, migrate, version
from eyeline.measuring.catalogue import MEASURES_EDITION
from tests.ledger.invented import NOW

RELEASED = (
    "9e9a19c2e6969a24",
    "4d1558c66d03d8ec",
)  # a digest for each released step: one that changes is an edit of the past
NEXT = Migration("a note", ("CREATE TABLE notes (note TEXT) STRICT", "INSERT INTO notes VALUES ('kept')"))
BROKEN = Migration("broken half-way", ("CREATE TABLE half (x TEXT) STRICT", "CREATE TABLE files (x TEXT)"))


@pytest.fixture
def connection(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    opened = sqlite3.connect(tmp_path / "any.sqlite3", isolation_level=None)
    yield opened
    opened.close()


def tables(connection: sqlite3.Connection) -> set[str]:
    return {row[0] for row in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}


def test_no_released_step_was_edited() -> None:
    digests = [blake2b(repr(step).encode(), digest_size=8).hexdigest() for step in MIGRATIONS]
    assert digests[: len(RELEASED)] == list(RELEASED)


def test_each_step_is_recorded_with_its_name_and_time(connection: sqlite3.Connection) -> None:
    migrate(connection, NOW, (*MIGRATIONS, NEXT))
    recorded = connection.execute("SELECT number, name, at FROM migrations").fetchall()
    assert [(number, name) for number, name, _ in recorded] == list(
        enumerate([step.name for step in (*MIGRATIONS, NEXT)], 1)
    )
    assert {at for _, _, at in recorded} == {"2026-11-25T12:00:00.000000+00:00"}
    assert version(connection) == len(MIGRATIONS) + 1
    assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)


@pytest.mark.parametrize("earlier", range(len(MIGRATIONS) + 1))
def test_from_every_earlier_version_one_comes_to_the_newest(
    connection: sqlite3.Connection, earlier: int
) -> None:
    migrate(connection, NOW, MIGRATIONS[:earlier])
    migrate(connection, NOW, (*MIGRATIONS, NEXT))
    migrate(connection, NOW, (*MIGRATIONS, NEXT))
    assert version(connection) == len(MIGRATIONS) + 1
    assert connection.execute("SELECT note FROM notes").fetchall() == [("kept",)]


def test_a_step_that_fails_leaves_nothing_of_itself(connection: sqlite3.Connection) -> None:
    migrate(connection, NOW)
    before = tables(connection)
    with pytest.raises(sqlite3.OperationalError):
        migrate(connection, NOW, (*MIGRATIONS, BROKEN))
    assert (tables(connection), version(connection)) == (before, len(MIGRATIONS))
    migrate(connection, NOW, (*MIGRATIONS, NEXT))
    assert version(connection) == len(MIGRATIONS) + 1


def test_photos_of_before_there_were_editions_stay_and_are_of_edition_none(
    connection: sqlite3.Connection,
) -> None:
    migrate(connection, NOW, MIGRATIONS[:2])
    columns = [row[1] for row in connection.execute("PRAGMA table_info(photos)")]
    old = dict.fromkeys(columns, "{}") | {"eyeline_version": "0.3.0", "digest": "d1"}
    old |= dict.fromkeys(("orientation", "width", "height", "stored_width", "stored_height"), 1)
    marks = ", ".join("?" * len(columns))
    connection.execute(f"INSERT INTO photos VALUES ({marks})", [old[name] for name in columns])
    migrate(connection, NOW)
    assert connection.execute("SELECT digest, measures_edition FROM photos").fetchall() == [("d1", 0)]
    assert MEASURES_EDITION > 0


def test_opening_migrates(tmp_path: Path) -> None:
    with Ledger(tmp_path / "ledger.sqlite3", NOW) as ledger:
        assert version(ledger._database.connection) == len(MIGRATIONS)


def test_what_only_reads_brings_an_older_ledger_up_to_date(tmp_path: Path) -> None:
    """After an update the first command may be one that reads: `eyeline status`, `eyeline why`."""
    path = tmp_path / "ledger.sqlite3"
    with closing(sqlite3.connect(path, isolation_level=None)) as older:
        migrate(older, NOW, MIGRATIONS[:-1])
    with pytest.raises(LedgerOutdated, match="older version"):
        Ledger.reader(path)
    with Ledger.up_to_date(path, NOW) as ledger:
        assert ledger.status().photos == 0
    Ledger.reader(path).close()


def test_the_states_in_the_table_are_those_in_the_code() -> None:
    listed = "(" + ", ".join(f"'{state.value}'" for state in sorted(State, key=list(State).index)) + ")"
    assert listed in MIGRATIONS[0].statements[0]
