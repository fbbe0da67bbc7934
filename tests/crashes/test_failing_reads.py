"""Reading a photo fails in the middle of its file: it is set aside with the reason, its neighbours go on."""

from __future__ import annotations

import errno
import json
import os
import sqlite3
from pathlib import Path

import pytest

from tests.cli.conftest import copy_frames, run_here
from tests.crashes.failing_reads import FailingReads

FRAMES = ("NL1_1000.jpg", "NL1_1001.jpg", "NL1_1002.jpg")
FROM_BYTE = 50_000
"""Behind the EXIF and some of the picture; the file has 88 kB."""


@pytest.mark.skipif(os.geteuid() != 0, reason="a FUSE file system is mounted by root")
def test_a_photo_that_cannot_be_read_to_its_end_is_set_aside_and_the_others_are_measured(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "card"
    folder.mkdir()
    copy_frames(tmp_path / "disk", *FRAMES)
    disk = FailingReads(tmp_path / "disk", folder, FRAMES[1], FROM_BYTE)
    try:
        ran = run_here(tmp_path, "run", "--json", "--dry-run", folder)
    finally:
        disk.ends()
    assert ran.returncode == 1, "a photo could not be read"
    judged = [Path(json.loads(line)["file"]).name for line in ran.stdout.splitlines()]
    assert sorted(judged) == [FRAMES[0], FRAMES[2]]
    (line,) = [line for line in ran.stderr.splitlines() if FRAMES[1] in line]
    assert os.strerror(errno.EIO) in line and "you may read it" in line, "what happened and what to do"
    with sqlite3.connect(f"file:{tmp_path}/.local/share/eyeline/ledger.sqlite3?mode=ro", uri=True) as ledger:
        states = dict(ledger.execute("SELECT printable, state FROM files").fetchall())
        told = ledger.execute("SELECT what FROM problems WHERE path = ?", (os.fsencode(folder / FRAMES[1]),))
        assert [what for (what,) in told if os.strerror(errno.EIO) in what]
    assert {Path(name).name: state == "set aside" for name, state in states.items()} == {
        FRAMES[0]: False, FRAMES[1]: True, FRAMES[2]: False,
    }  # fmt: skip
