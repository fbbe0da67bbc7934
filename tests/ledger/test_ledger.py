"""The ledger as a whole: counts, forgetting, checking, copies."""

import json
import os
import sqlite3
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from eyeline.errors import LedgerFailed
from eyeline.ledger import Ledger, Problem, State
from eyeline.ledger.migrations import MIGRATIONS
from tests.ledger import invented
from tests.ledger.invented import FOLDER, NOW, STAMP

OTHER = Path("/photos/one other")


def fill(ledger: Ledger, folder: Path, number: int, stars: int | None = 3) -> Path:
    path = folder / f"secret-{number}.jpg"
    digest = f"{folder.name}{number}"
    with ledger.transaction():
        ledger.files.remember(path, STAMP, NOW)
        ledger.photos.record(invented.photo(path, digest))
        ledger.files.measured(path, STAMP, digest, 1, NOW)
        ledger.decisions.add(invented.decision(path, digest, stars=stars))
        ledger.problems.add(Problem(path, "slow", "wait", NOW))
    return path


def test_status_counts_what_is_there(ledger: Ledger) -> None:
    assert ledger.status().last_activity is None
    fill(ledger, FOLDER, 1, stars=1)
    first = fill(ledger, FOLDER, 2, stars=2)
    fill(ledger, FOLDER, 3, stars=None)
    ledger.decisions.add(replace(invented.decision(first, stars=4), decided_at=NOW + timedelta(hours=1)))
    ledger.files.remember(FOLDER / "new.jpg", STAMP, NOW)
    status = ledger.status()
    assert (status.photos, status.decisions, status.problems) == (3, 4, 3)
    assert status.stars == {1: 1, 4: 1, None: 1}, "the latest decision of each file counts"
    assert status.files == {**dict.fromkeys(State, 0), State.MEASURED: 3, State.ARRIVED: 1}
    assert status.last_activity == NOW + timedelta(hours=1)
    assert status.size_bytes >= ledger.path.stat().st_size > 0


def test_forget_erases_the_folder_and_nothing_else(ledger: Ledger) -> None:
    for number in range(3):
        fill(ledger, FOLDER, number)
        fill(ledger, OTHER, number)
    shared = invented.photo(FOLDER / "shared.jpg", "shared")
    ledger.photos.record(shared)
    for path in (FOLDER / "shared.jpg", OTHER / "shared.jpg"):
        ledger.files.remember(path, STAMP, NOW)
        ledger.files.measured(path, STAMP, "shared", 1, NOW)
    kept = [file.path for file in ledger.files.under(OTHER)]
    assert ledger.forget(FOLDER) == 3 * 4 + 1
    assert list(ledger.files.under(FOLDER)) == [] and list(ledger.photos.under(FOLDER)) == []
    assert ledger.decisions.latest(FOLDER / "secret-1.jpg") is None
    assert ledger.problems.on(FOLDER / "secret-1.jpg") == ()
    assert [file.path for file in ledger.files.under(OTHER)] == kept
    assert [photo.frame.digest for photo in ledger.photos.under(OTHER)][-1] == "shared"
    assert ledger.decisions.latest(OTHER / "secret-1.jpg") is not None
    assert ledger.check() == ()


def test_what_is_forgotten_is_nowhere_in_the_bytes_of_the_files(ledger: Ledger) -> None:
    for number in range(50):
        fill(ledger, FOLDER / "hush", number)
        fill(ledger, OTHER, number)

    def mentioned() -> bool:
        return any(b"hush" in file.read_bytes() for file in ledger.path.parent.iterdir())

    ledger.upkeep(NOW)
    before = ledger.path.stat().st_size
    assert mentioned()
    ledger.forget(FOLDER / "hush")
    assert not mentioned()
    assert ledger.path.stat().st_size < before


def test_a_reader_in_the_way_of_forgetting_is_told_of(ledger: Ledger) -> None:
    fill(ledger, FOLDER, 1)
    reader = Ledger.reader(ledger.path)
    connection = reader._database.connection
    connection.execute("BEGIN")
    connection.execute("SELECT COUNT(*) FROM files").fetchone()
    ledger._database.rows("PRAGMA busy_timeout = 50")
    with pytest.raises(LedgerFailed, match="another program is reading"):
        ledger.forget(FOLDER)
    reader.close()
    assert list(ledger.files.under(FOLDER)) == []
    ledger.forget(FOLDER)


def test_forgetting_the_root_forgets_everything(ledger: Ledger) -> None:
    fill(ledger, FOLDER, 1)
    fill(ledger, Path("/"), 1)
    ledger.forget(Path("/"))
    status = ledger.status()
    assert (status.photos, status.decisions, status.problems, sum(status.files.values())) == (0, 0, 0, 0)


def test_a_backup_is_the_ledger_and_is_private(ledger: Ledger, tmp_path: Path) -> None:
    path = fill(ledger, FOLDER, 1)
    target = tmp_path / "backup.sqlite3"
    ledger.backup(target)
    fill(ledger, FOLDER, 2)
    assert target.stat().st_mode & 0o777 == 0o600
    assert sorted(file.name for file in tmp_path.iterdir()) == ["backup.sqlite3", "kept"]
    connection = sqlite3.connect(f"{target.as_uri()}?mode=ro", uri=True)
    assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert connection.execute("SELECT path FROM files").fetchall() == [(os.fsencode(path),)]
    connection.close()
    with Ledger(target, NOW) as restored:
        assert restored.decisions.latest(path) == ledger.decisions.latest(path)


def test_no_backup_is_written_over(ledger: Ledger, tmp_path: Path) -> None:
    target = tmp_path / "backup.sqlite3"
    target.write_bytes(b"precious")
    with pytest.raises(LedgerFailed, match="backed up"):
        ledger.backup(target)
    with pytest.raises(LedgerFailed, match="backed up"):
        ledger.backup(tmp_path / "no folder" / "backup.sqlite3")
    assert target.read_bytes() == b"precious"
    assert sorted(file.name for file in tmp_path.iterdir()) == ["backup.sqlite3", "kept"]


def test_an_export_holds_every_row_as_it_was_at_the_first_line(ledger: Ledger) -> None:
    strange = FOLDER / "a\n\udcff.jpg"
    ledger.files.remember(strange, STAMP, NOW)
    ledger.photos.record(invented.photo())
    ledger.decisions.add(replace(invented.decision(strange), written='{"stars":3}'))
    ledger.problems.add(Problem(None, "what", "cure", NOW))
    lines = ledger.export()
    head = json.loads(next(lines))
    ledger.decisions.add(invented.decision())
    rows = [json.loads(line) for line in lines]
    assert head == {"eyeline_ledger": len(MIGRATIONS)}
    assert [row["table"] for row in rows] == ["files", "photos", "decisions", "problems"]
    assert rows[0]["path"] == str(strange) and rows[2]["written"] == {"stars": 3}
    assert rows[1]["measurements"]["lead_room"] == {"missing": "the gaze meets the lens"}
    assert rows[1]["capture"]["make"] == "Brand"


def test_upkeep_empties_the_log(ledger: Ledger) -> None:
    fill(ledger, FOLDER, 1)
    log = Path(f"{ledger.path}-wal")
    assert log.stat().st_size > 0
    ledger.upkeep(NOW)
    assert log.stat().st_size == 0
    assert len(list(ledger.photos.under(FOLDER))) == 1
