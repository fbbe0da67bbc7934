"""A ledger that is deleted or replaced while eyeline works: nothing is written until one lies there again."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from eyeline.deciding.decide import Decider
from eyeline.errors import LedgerFailed
from eyeline.exiftool import ExifTool
from eyeline.ledger import Ledger, Outcome
from eyeline.run.backups import back_up
from tests.deciding.decider import measured, open_decider


def deleted(path: Path) -> None:
    for each in path.parent.glob(f"{path.name}*"):
        each.unlink()


def only_the_file_deleted(path: Path) -> None:
    path.unlink()


def replaced_by_garbage(path: Path) -> None:
    garbage = path.with_name("garbage")
    garbage.write_bytes(os.urandom(5000))
    garbage.replace(path)


def emptied(path: Path) -> None:
    empty = path.with_name("empty")
    empty.touch()
    empty.replace(path)


@pytest.mark.parametrize("lose", [deleted, only_the_file_deleted, replaced_by_garbage, emptied])
def test_nothing_is_written_that_nobody_would_remember(
    exiftool: ExifTool, tmp_path: Path, lose: Callable[[Path], None]
) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        ledger = decider.configuration.ledger
        first, second = (measured(decider, tmp_path / "shoot" / name) for name in ("a.jpg", "b.jpg"))
        list(decider.decide([first]))
        backup = back_up(decider.ledger, datetime.now(UTC))
        lose(ledger)
        with pytest.raises(LedgerFailed, match="ledger"):
            list(decider.decide([second]))
        assert not second.frame.path.with_suffix(".xmp").exists()
        with pytest.raises(LedgerFailed):
            decider.ledger.try_writing()
        put_back(backup, ledger)
        decider.ledger.try_writing()
        ((_, decision),) = decider.decide([second])
        assert decision.outcome is Outcome.WRITTEN
    with Ledger.reader(ledger) as again:
        assert again.check() == ()
        assert again.decisions.latest(second.frame.path) is not None
        assert again.decisions.latest(first.frame.path) is not None


def put_back(backup: Path, ledger: Path) -> None:
    for log in (Path(f"{ledger}-wal"), Path(f"{ledger}-shm")):
        log.unlink(missing_ok=True)
    new = ledger.with_name("new")
    new.write_bytes(backup.read_bytes())
    new.replace(ledger)


def test_one_that_is_moved_away_and_back_is_the_same(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "a.jpg")
        away = decider.configuration.ledger.rename(tmp_path / "away")
        with pytest.raises(LedgerFailed):
            list(decider.decide([photo]))
        away.rename(decider.configuration.ledger)
        decider.ledger.try_writing()
        assert [made.outcome for _, made in decider.decide([photo])] == [Outcome.WRITTEN]


def test_another_eyeline_that_began_a_new_one_keeps_what_it_writes(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    """The old connection must not delete the new ledger's log by its name when it ends."""

    def write(decider: Decider, name: str) -> None:
        list(decider.decide([measured(decider, tmp_path / "shoot" / name)]))

    with open_decider(tmp_path, exiftool) as old:
        write(old, "a.jpg")
        deleted(old.configuration.ledger)
        with open_decider(tmp_path, exiftool) as new:
            write(new, "b.jpg")
            old.ledger.try_writing()
            write(old, "c.jpg")
            write(new, "d.jpg")
    with Ledger.reader(new.configuration.ledger) as ledger:
        assert ledger.check() == ()
        assert [path.name for path in ledger.decisions.paths_under(tmp_path)] == ["b.jpg", "c.jpg", "d.jpg"]
