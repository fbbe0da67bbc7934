"""Files: seen, claimed by one, postponed, set aside, found unchanged."""

import os
import subprocess
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from eyeline.ledger import Ledger, State
from eyeline.ledger.files import LONGEST_WAIT
from eyeline.terms.file_status import FileStatus
from tests.ledger.invented import FOLDER, NOW, STAMP
from tests.ledger.strategies import paths

PHOTO = FOLDER / "a.jpg"
MINUTE = timedelta(minutes=1)


def test_a_new_file_has_arrived_and_an_unchanged_one_is_no_news(ledger: Ledger) -> None:
    assert ledger.files.remember(PHOTO, STAMP, NOW)
    assert not ledger.files.remember(PHOTO, STAMP, NOW)
    known = ledger.files.known(PHOTO)
    assert known is not None and known.state is State.ARRIVED and known.status == STAMP
    assert known.status.inode == 2**64 - 1


@pytest.mark.parametrize("change", [{"size": 1}, {"mtime_ns": -1}, {"inode": 7}])
def test_a_changed_file_arrives_again(ledger: Ledger, change: dict[str, int]) -> None:
    ledger.files.remember(PHOTO, STAMP, NOW)
    assert ledger.files.measured(PHOTO, STAMP, "d1", 1, NOW)
    changed = replace(STAMP, **change)
    assert ledger.files.remember(PHOTO, changed, NOW)
    assert ledger.files.due(NOW, 9) == (PHOTO,)


def test_another_device_number_after_a_mount_changes_nothing(ledger: Ledger) -> None:
    ledger.files.remember(PHOTO, STAMP, NOW)
    assert not ledger.files.remember(PHOTO, replace(STAMP, device=99), NOW)


def test_the_stamp_of_a_real_file(ledger: Ledger, tmp_path: Path) -> None:
    file = tmp_path / "a.jpg"
    file.write_bytes(b"one")
    stamp = FileStatus.of(file.stat())
    ledger.files.remember(file, stamp, NOW)
    ledger.files.measured(file, stamp, "d1", 1, NOW)
    assert not ledger.files.remember(file, FileStatus.of(file.stat()), NOW)
    file.write_bytes(b"more")
    assert ledger.files.remember(file, FileStatus.of(file.stat()), NOW)


def test_a_file_is_claimed_once(ledger: Ledger) -> None:
    assert not ledger.files.claim(PHOTO, NOW, MINUTE), "nobody has seen it yet"
    ledger.files.remember(PHOTO, STAMP, NOW)
    assert ledger.files.claim(PHOTO, NOW, MINUTE)
    assert not ledger.files.claim(PHOTO, NOW, MINUTE)
    assert ledger.files.due(NOW, 9) == ()
    assert ledger.files.claim(PHOTO, NOW + MINUTE, MINUTE), "the lease has run out"
    known = ledger.files.known(PHOTO)
    assert known is not None and known.attempts == 2


def test_two_connections_never_both_claim_one_file(ledger: Ledger) -> None:
    files = [FOLDER / f"{n}.jpg" for n in range(20)]
    for file in files:
        ledger.files.remember(file, STAMP, NOW)
    with Ledger(ledger.path, NOW) as other:
        for number, file in enumerate(files):
            first, second = (ledger, other) if number % 2 else (other, ledger)
            assert [first.files.claim(file, NOW, MINUTE), second.files.claim(file, NOW, MINUTE)] == [
                True,
                False,
            ]


def test_what_a_dead_process_had_claimed_is_free_again(ledger: Ledger) -> None:
    dead = subprocess.Popen(["true"])
    dead.wait()
    for path, process in ((PHOTO, dead.pid), (FOLDER / "b.jpg", os.getpid())):
        ledger.files.remember(path, STAMP, NOW)
        ledger.files.claim(path, NOW, MINUTE)
        ledger._database.change(
            "UPDATE files SET claimed_by = ? WHERE path = ?", (process, os.fsencode(path))
        )
    assert ledger.files.free_claims_of_the_dead() == 1
    assert ledger.files.due(NOW, 9) == (PHOTO,)


def test_a_postponed_file_waits_its_time(ledger: Ledger) -> None:
    ledger.files.remember(PHOTO, STAMP, NOW)
    ledger.files.claim(PHOTO, NOW, MINUTE)
    ledger.files.postpone(PHOTO, NOW + MINUTE, "a worker died\udcff", NOW)
    known = ledger.files.known(PHOTO)
    assert known is not None and (known.state, known.not_before) == (State.POSTPONED, NOW + MINUTE)
    assert known.problem == "a worker died\\udcff" and known.attempts == 1
    assert not ledger.files.claim(PHOTO, NOW, MINUTE)
    assert ledger.files.due(NOW, 9) == ()
    assert ledger.files.due(NOW + MINUTE, 9) == (PHOTO,)
    assert ledger.files.claim(PHOTO, NOW + MINUTE, MINUTE)


def test_a_clock_that_was_wrong_locks_no_file_away(ledger: Ledger) -> None:
    years_ahead = NOW + timedelta(days=3650)
    for path in (PHOTO, FOLDER / "b.jpg"):
        ledger.files.remember(path, STAMP, years_ahead)
    ledger.files.claim(PHOTO, years_ahead, MINUTE)
    ledger.files.postpone(FOLDER / "b.jpg", years_ahead + MINUTE, "wait", years_ahead)
    assert set(ledger.files.due(NOW, 9)) == {PHOTO, FOLDER / "b.jpg"}


def test_nothing_waits_longer_than_a_day(ledger: Ledger) -> None:
    with pytest.raises(ValueError, match="longer"):
        ledger.files.postpone(PHOTO, NOW + LONGEST_WAIT + MINUTE, "wait", NOW)
    with pytest.raises(ValueError, match="longer"):
        ledger.files.claim(PHOTO, NOW, LONGEST_WAIT + MINUTE)


def test_a_file_that_is_set_aside_waits_for_a_change_or_a_wish(ledger: Ledger) -> None:
    ledger.files.remember(PHOTO, STAMP, NOW)
    ledger.files.set_aside(PHOTO, "it crashed two workers", NOW)
    assert ledger.files.due(NOW + timedelta(days=9), 9) == ()
    assert not ledger.files.remember(PHOTO, STAMP, NOW)
    ledger.files.again(PHOTO, NOW)
    assert ledger.files.due(NOW, 9) == (PHOTO,)
    ledger.files.set_aside(PHOTO, "it crashed two workers", NOW)
    assert ledger.files.remember(PHOTO, replace(STAMP, size=1), NOW)
    known = ledger.files.known(PHOTO)
    assert known is not None and known.problem is None and ledger.files.due(NOW, 9) == (PHOTO,)


def test_a_file_that_changes_while_it_is_measured_stays_arrived(ledger: Ledger) -> None:
    ledger.files.remember(PHOTO, STAMP, NOW)
    ledger.files.claim(PHOTO, NOW, MINUTE)
    ledger.files.remember(PHOTO, replace(STAMP, size=2), NOW)
    assert not ledger.files.measured(PHOTO, STAMP, "d1", 1, NOW)
    assert ledger.files.due(NOW, 9) == (PHOTO,)


def test_only_what_is_measured_can_be_written(ledger: Ledger) -> None:
    ledger.files.remember(PHOTO, STAMP, NOW)
    assert not ledger.files.written(PHOTO, NOW)
    ledger.files.measured(PHOTO, STAMP, "d1", 1, NOW)
    assert ledger.files.written(PHOTO, NOW)
    assert [file.state for file in ledger.files.under(FOLDER)] == [State.WRITTEN]


def test_a_file_that_is_gone_is_known_no_more(ledger: Ledger) -> None:
    ledger.files.remember(PHOTO, STAMP, NOW)
    ledger.files.gone(PHOTO)
    assert ledger.files.known(PHOTO) is None


def test_a_long_folder_is_listed_whole_and_without_its_neighbours(ledger: Ledger) -> None:
    inside = [FOLDER / f"{n:05}.jpg" for n in range(1001)]
    with ledger.transaction():
        for path in (*inside, Path("/photos/one.jpg"), Path("/photos/one more/a.jpg"), Path("/photos/a.jpg")):
            ledger.files.remember(path, STAMP, NOW)
        ledger.files.set_aside(inside[3], "broken", NOW)
    assert [file.path for file in ledger.files.under(FOLDER)] == inside
    assert [file.path for file in ledger.files.under(FOLDER, State.SET_ASIDE)] == [inside[3]]


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    max_examples=50,
    deadline=None,
)
@given(path=paths)
def test_no_file_name_is_too_strange(ledger: Ledger, path: Path) -> None:
    ledger.files.gone(path)
    assert ledger.files.remember(path, STAMP, NOW)
    known = ledger.files.known(path)
    assert known is not None and known.path == path
    row = ledger._database.row("SELECT printable FROM files WHERE path = ?", (os.fsencode(path),))
    assert row is not None and row["printable"].isprintable()
