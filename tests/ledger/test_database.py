"""The file itself: private, whole, and in plain words when it is not."""

import os
import sqlite3
import threading
from pathlib import Path

import pytest

from eyeline.errors import LedgerCorrupt, LedgerFailed
from eyeline.ledger import Ledger, keep_aside
from tests.ledger import invented
from tests.ledger.invented import FOLDER, NOW, STAMP


def sound_by_second_opinion(path: Path) -> bool:
    """SQLite's own verdict through a fresh connection that can only read."""
    connection = sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)
    try:
        return connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    except sqlite3.DatabaseError:
        return False
    finally:
        connection.close()


def test_folder_file_and_log_are_private(tmp_path: Path) -> None:
    old = os.umask(0)
    try:
        with Ledger(tmp_path / "a" / "ledger.sqlite3", NOW) as ledger:
            ledger.decisions.add(invented.decision())
            found = {file.name: file.stat().st_mode & 0o777 for file in (tmp_path / "a").iterdir()}
    finally:
        os.umask(old)
    assert found == dict.fromkeys(("ledger.sqlite3", "ledger.sqlite3-wal", "ledger.sqlite3-shm"), 0o600)
    assert (tmp_path / "a").stat().st_mode & 0o777 == 0o700


def test_a_ledger_that_others_could_read_is_made_private(ledger: Ledger) -> None:
    ledger.close()
    ledger.path.chmod(0o644)
    with Ledger(ledger.path, NOW):
        assert ledger.path.stat().st_mode & 0o777 == 0o600


def test_the_mode_is_wal_and_a_second_opinion_finds_it_sound(ledger: Ledger) -> None:
    ledger.decisions.add(invented.decision())
    connection = sqlite3.connect(f"{ledger.path.as_uri()}?mode=ro", uri=True)
    assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    assert connection.execute("SELECT stars, outcome FROM decisions").fetchall() == [(3, "written")]
    connection.close()
    assert sound_by_second_opinion(ledger.path)


def test_readers_see_what_is_committed_while_the_writer_is_in_a_transaction(ledger: Ledger) -> None:
    ledger.decisions.add(invented.decision(stars=1))
    with ledger.transaction():
        ledger.decisions.add(invented.decision(stars=2))
        with Ledger.reader(ledger.path) as reader:
            seen = reader.decisions.latest_of("d1")
    assert seen is not None and seen.verdict.stars == 1
    with Ledger.reader(ledger.path) as reader:
        seen = reader.decisions.latest_of("d1")
    assert seen is not None and seen.verdict.stars == 2


def test_a_reader_reads_when_nobody_writes_and_can_write_nothing(ledger: Ledger) -> None:
    ledger.decisions.add(invented.decision())
    ledger.close()
    with Ledger.reader(ledger.path) as reader:
        assert reader.decisions.latest_of("d1") is not None
        with pytest.raises(LedgerFailed, match="cannot be written"):
            reader.decisions.add(invented.decision())


def test_a_reader_makes_no_ledger(tmp_path: Path) -> None:
    with pytest.raises(LedgerFailed, match="nothing is measured yet"):
        Ledger.reader(tmp_path / "none.sqlite3")
    assert list(tmp_path.iterdir()) == []


def test_a_transaction_is_whole_or_nothing_whatever_ends_it(ledger: Ledger) -> None:
    with pytest.raises(KeyboardInterrupt), ledger.transaction():
        ledger.photos.record(invented.photo())
        with ledger.transaction():
            ledger.decisions.add(invented.decision())
        raise KeyboardInterrupt
    assert (ledger.status().photos, ledger.status().decisions) == (0, 0)
    ledger.decisions.add(invented.decision())
    assert ledger.status().decisions == 1


def test_an_error_of_the_caller_passes_through_unchanged(ledger: Ledger) -> None:
    with pytest.raises(PermissionError), ledger.transaction():
        raise PermissionError


def test_threads_share_one_ledger_without_mixing_their_transactions(ledger: Ledger) -> None:
    def work(number: int) -> None:
        for turn in range(20):
            try:
                with ledger.transaction():
                    ledger.decisions.add(invented.decision(digest=f"{number}"))
                    if turn % 2:
                        raise RuntimeError
            except RuntimeError:
                pass

    threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert ledger.status().decisions == 4 * 10


@pytest.mark.parametrize(
    "damage", [b"", b"this is no database at all" * 100, b"SQLite format 3\0" + b"\xff" * 5000]
)
def test_a_damaged_file_is_told_and_left_as_it_is(tmp_path: Path, damage: bytes) -> None:
    path = tmp_path / "ledger.sqlite3"
    path.write_bytes(damage)
    for opener in (lambda: Ledger(path, NOW), lambda: Ledger.reader(path)):
        with pytest.raises(LedgerCorrupt, match=r"ledger\.sqlite3: .*Put back a backup"):
            opener()
    assert path.read_bytes() == damage


def test_damage_inside_a_page_is_found_by_the_check(ledger: Ledger) -> None:
    with ledger.transaction():
        for number in range(300):
            ledger.decisions.add(invented.decision(digest=f"{number}"))
    assert ledger.check() == ()
    ledger.close()
    content = bytearray(ledger.path.read_bytes())
    content[4096 * 6 : 4096 * 12] = b"\x5a" * 4096 * 6
    ledger.path.write_bytes(content)
    assert not sound_by_second_opinion(ledger.path)
    with Ledger(ledger.path, NOW) as damaged:
        assert damaged.check() != ()


def test_a_damaged_ledger_is_kept_aside_whole_and_a_new_one_begins(ledger: Ledger) -> None:
    ledger.close()
    log = Path(f"{ledger.path}-wal")
    for _ in range(2):
        ledger.path.write_bytes(b"damaged" * 1000)
        log.write_bytes(b"log")
        aside = keep_aside(ledger.path, NOW)
        assert aside.read_bytes() == b"damaged" * 1000
        assert Path(f"{aside}-wal").read_bytes() == b"log"
        with Ledger(ledger.path, NOW) as new:
            assert new.status().photos == 0
    kept = sorted(file.name for file in ledger.path.parent.glob("*.damaged-*.sqlite3"))
    assert kept == ["ledger.damaged-20261125T120000-2.sqlite3", "ledger.damaged-20261125T120000.sqlite3"]


def test_the_log_of_a_lost_ledger_is_never_played_into_a_new_one(tmp_path: Path) -> None:
    lost = Ledger(tmp_path / "ledger.sqlite3", NOW)
    lost.decisions.add(invented.decision())
    lost.path.unlink()
    with Ledger(lost.path, NOW) as new:
        assert new.status().decisions == 0 and new.check() == ()
    assert len(list(tmp_path.glob("*.damaged-*-wal"))) == 1
    lost.close()


def test_a_ledger_of_a_newer_version_is_refused_untouched(ledger: Ledger) -> None:
    ledger.close()
    connection = sqlite3.connect(ledger.path)
    connection.execute("PRAGMA user_version = 999")
    connection.close()
    before = ledger.path.read_bytes()
    for opener in (lambda: Ledger(ledger.path, NOW), lambda: Ledger.reader(ledger.path)):
        with pytest.raises(LedgerFailed, match=r"version 999, made by a newer eyeline.*Update eyeline"):
            opener()
    assert ledger.path.read_bytes() == before


def test_the_database_of_another_program_is_refused_untouched(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite3"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE theirs (x)")
    connection.close()
    before = path.read_bytes()
    with pytest.raises(LedgerFailed, match="not a ledger of eyeline"):
        Ledger(path, NOW)
    assert path.read_bytes() == before


def test_a_ledger_that_another_program_holds_is_told(ledger: Ledger) -> None:
    other = sqlite3.connect(ledger.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        with pytest.raises(LedgerFailed, match="locked by another program"):
            Ledger(ledger.path, NOW, patience_seconds=0.05)
    finally:
        other.close()
    with Ledger(ledger.path, NOW, patience_seconds=0.05) as free:
        assert free.check() == ()


def test_a_full_disk_is_told_and_what_was_there_stays(ledger: Ledger) -> None:
    ledger.decisions.add(invented.decision())
    # SQLite answers with the same code as for a disk without room
    pages = ledger._database.rows("PRAGMA page_count")[0][0]
    ledger._database.rows(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(LedgerFailed, match=r"disk is full.*Free some space"), ledger.transaction():
        for number in range(1000):
            ledger.decisions.add(invented.decision(digest=f"{number}"))
    ledger._database.rows("PRAGMA max_page_count = 1000000")
    assert ledger.status().decisions == 1
    ledger.decisions.add(invented.decision())
    assert ledger.check() == ()


@pytest.mark.parametrize("name", ["led?mode=memory.sqlite3", "led#ger%20.sqlite3", "led\n\udcffger.sqlite3"])
def test_no_name_of_a_ledger_is_taken_for_an_option(tmp_path: Path, name: str) -> None:
    with Ledger(tmp_path / name, NOW) as ledger:
        ledger.files.remember(FOLDER / "a.jpg", STAMP, NOW)
    assert name in {file.name for file in tmp_path.iterdir()}
    with Ledger.reader(tmp_path / name) as ledger:
        assert ledger.files.known(FOLDER / "a.jpg") is not None


def test_no_temporary_file_remains(ledger: Ledger) -> None:
    ledger.close()
    assert [file.name for file in ledger.path.parent.iterdir()] == ["ledger.sqlite3"]


def test_two_who_make_the_ledger_at_once_have_one(tmp_path: Path) -> None:
    path = tmp_path / "ledger.sqlite3"
    processes = []
    for number in range(4):
        child = os.fork()
        if child == 0:
            try:
                with Ledger(path, NOW) as ledger:
                    ledger.decisions.add(invented.decision(digest=f"{number}"))
                os._exit(0)
            except BaseException:
                os._exit(1)
        processes.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in processes] == [0] * 4
    with Ledger.reader(path) as ledger:
        assert ledger.status().decisions == 4


def test_only_what_can_be_found_out_again_does_not_wait_for_the_disk(ledger: Ledger) -> None:
    # https://sqlite.org/pragma.html#pragma_synchronous: 2 is FULL, durable across a power cut; 1, NORMAL, is
    # consistent with a write-ahead log but may lose the last commits.
    connection = ledger._database.connection

    def synchronous() -> int:
        return int(connection.execute("PRAGMA synchronous").fetchone()[0])

    assert synchronous() == 2
    with ledger.transaction(durable=False):
        assert synchronous() == 1
    with pytest.raises(ValueError, match="nothing"), ledger.transaction(durable=False):
        raise ValueError("nothing of it is kept")
    with ledger.transaction(), ledger.transaction(durable=False):
        assert synchronous() == 2, "within a durable one all is durable"
    assert synchronous() == 2
