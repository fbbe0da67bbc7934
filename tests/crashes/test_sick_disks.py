"""The daemon beside disks that are full, read-only or silent: it goes on, says so, and loses nothing."""

from __future__ import annotations

import os
import shutil
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from eyeline.ledger import Ledger
from tests.cli.conftest import SHOOT, copy_frames
from tests.cli.test_watch import SETTINGS, daemon, stop
from tests.crashes.sick_disks import SilentFolder, fill, set_read_only, small_disk
from tests.sidecar.examples import names
from tests.waiting import wait_until

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="mounts as Linux does"),
]

FRAMES = ("NL1_1005.jpg", "NL1_1012.jpg", "NL1_1040.jpg")
KIBIBYTES = 2048


def told_in_the_ledger(ledger: Path) -> str:
    with Ledger.reader(ledger) as opened:
        assert opened.check() == ()
        problems = opened.problems.since(datetime(2000, 1, 1, tzinfo=UTC))
        decisions = [
            decision
            for known in opened.files.under(Path("/"))
            if (decision := opened.decisions.latest(known.path)) is not None
        ]
        assert all(known.state == "written" for known in opened.files.under(Path("/")))
        assert len(decisions) == len({decision.path for decision in decisions})
    log = ledger.with_name("decisions.jsonl").read_text()
    return "\n".join([f"{each.path}: {each.what}" for each in problems] + [log])


def test_no_room_and_no_right_for_sidecars(tmp_path: Path) -> None:
    ledger = tmp_path / ".local" / "share" / "eyeline" / "ledger.sqlite3"
    watched = tmp_path / "watched"
    with (
        small_disk(watched / "full", KIBIBYTES) as full,
        small_disk(watched / "read only", KIBIBYTES) as read_only,
    ):
        filler = fill(full, leave_bytes=(SHOOT / FRAMES[0]).stat().st_size)
        copy_frames(full, FRAMES[0])
        copy_frames(read_only, FRAMES[1])
        set_read_only(read_only, True)
        with daemon(tmp_path, watched) as process:
            errors = tmp_path / "err.txt"
            wait_until(lambda: "No space left" in errors.read_text())
            wait_until(lambda: "Read-only file system" in errors.read_text())
            (healthy,) = copy_frames(watched / "healthy", FRAMES[2])
            wait_until(healthy.with_suffix(".xmp").exists)
            assert names(full) == [FRAMES[0], filler.name]
            assert names(read_only) == [FRAMES[1]]
            filler.unlink()
            set_read_only(read_only, False)
            for cured in (full / FRAMES[0], read_only / FRAMES[1]):
                wait_until(cured.with_suffix(".xmp").exists)
            wait_until(lambda: all_written(ledger, 3))
            assert stop(process) == 0
        said = errors.read_text()
        assert said.count("No space left") == said.count("Read-only file system") == 1, (
            "told once, not each time"
        )
        told = told_in_the_ledger(ledger)
        assert "No space left" in told
        assert "Read-only file system" in told


def all_written(ledger: Path, count: int) -> bool:
    with Ledger.reader(ledger) as opened:
        return [each.state for each in opened.files.under(Path("/"))] == ["written"] * count


def test_no_room_for_the_ledger(tmp_path: Path) -> None:
    card = tmp_path / "card"
    (first,) = copy_frames(card, FRAMES[0])
    with small_disk(tmp_path / "kept", KIBIBYTES) as kept:
        ledger = kept / "ledger.sqlite3"
        (tmp_path / "config.toml").write_text(SETTINGS + f'ledger = "{ledger}"\n')
        with daemon(tmp_path, card) as process:
            wait_until(first.with_suffix(".xmp").exists)
            wait_until(lambda: all_written(ledger, 1))
            wait_until(lambda: list((kept / "backups").glob("*.sqlite3")))
            filler = fill(kept)
            others = copy_frames(card, *FRAMES[1:])
            errors = tmp_path / "err.txt"
            wait_until(lambda: "disk is full" in errors.read_text())
            assert process.poll() is None
            assert not any(path.with_suffix(".xmp").exists() for path in others), "no record, so no sidecar"
            filler.unlink()
            for path in others:
                wait_until(path.with_suffix(".xmp").exists)
            wait_until(lambda: all_written(ledger, 3))
            assert stop(process) == 0
        assert errors.read_text().count("so the ledger cannot be written") == 1
        assert "so the ledger cannot be written" in told_in_the_ledger(ledger)


@pytest.fixture
def silent(tmp_path: Path) -> Iterator[list[SilentFolder]]:
    """Silent folders that the test makes; none outlives it."""
    made: list[SilentFolder] = []
    yield made
    for folder in made:
        folder.ends()


def test_network_folders_that_stop_answering(tmp_path: Path, silent: list[SilentFolder]) -> None:
    """One is silent when the daemon starts, one falls silent, one breaks; a healthy one lies beside them."""
    asleep, falling, broken, healthy = (
        tmp_path / "watched" / name for name in ("asleep", "falling", "broken", "healthy")
    )
    copy_frames(asleep, FRAMES[0])
    copy_frames(falling, FRAMES[1])
    copy_frames(broken, FRAMES[1])
    healthy.mkdir()
    folders = os.open(falling, os.O_RDONLY)
    silent.append(SilentFolder(asleep))
    errors = tmp_path / "err.txt"
    ledger = tmp_path / ".local" / "share" / "eyeline" / "ledger.sqlite3"
    with daemon(tmp_path, asleep, falling, broken, healthy) as process:
        wait_until((falling / FRAMES[1]).with_suffix(".xmp").exists)
        wait_until((broken / FRAMES[1]).with_suffix(".xmp").exists)
        wait_until(lambda: all_written(ledger, 2))
        time.sleep(1)  # in the middle of a write it would wait for the folder: docs/service.md says so
        silent.append(SilentFolder(falling))
        silent.append(SilentFolder(broken))
        silent[-1].breaks()
        behind = os.open(FRAMES[2], os.O_WRONLY | os.O_CREAT, 0o600, dir_fd=folders)
        with open(behind, "wb") as file, (SHOOT / FRAMES[2]).open("rb") as frame:
            shutil.copyfileobj(frame, file)
        (photo,) = copy_frames(healthy, FRAMES[0])
        wait_until(photo.with_suffix(".xmp").exists)
        wait_until(lambda: errors.read_text().count("does not answer") == 2)
        assert process.poll() is None
        for folder in silent:
            folder.ends()
        for path in (asleep / FRAMES[0], falling / FRAMES[2]):
            wait_until(path.with_suffix(".xmp").exists)
        wait_until(lambda: all_written(ledger, 5))
        assert stop(process) == 0
    os.close(folders)
    told = told_in_the_ledger(ledger)
    assert str(asleep) in told
    assert str(falling) in told
    assert "set aside" not in told
