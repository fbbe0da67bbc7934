"""What is wrong around eyeline: one message with its cure, exit code 1, no traceback, no photo touched."""

from __future__ import annotations

import os
import resource
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from eyeline.ledger import Ledger
from tests.cli.conftest import copy_frames, environment

LEDGER = ".local/share/eyeline/ledger.sqlite3"


def run(home: Path, before: Callable[[], None] | None = None, **changes: str) -> tuple[int, str]:
    """Exit code and messages of a run over one photo; `before` is called in the process that becomes it."""
    (frame,) = copy_frames(home / "card", "NL1_1005.jpg")
    original = frame.read_bytes()
    ran = subprocess.run(
        [sys.executable, "-m", "eyeline", "run", frame.parent],
        env=environment(home) | changes,
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=before,
    )
    assert frame.read_bytes() == original
    assert list(frame.parent.iterdir()) == [frame]
    assert all(line.startswith("eyeline: ") for line in ran.stderr.splitlines())
    return ran.returncode, ran.stderr


@pytest.mark.parametrize(
    ("limit", "says"),
    [
        pytest.param(16, "NL1_1005.jpg: no worker starts", marks=pytest.mark.of_processes),
        (10, "ExifTool does not start"),
    ],
)
def test_too_many_open_files(tmp_path: Path, limit: int, says: str) -> None:
    code, said = run(tmp_path, lambda: resource.setrlimit(resource.RLIMIT_NOFILE, (limit, limit)))
    assert code == 1
    assert says in said
    assert "ulimit -n" in said


def test_no_exiftool(tmp_path: Path) -> None:
    code, said = run(tmp_path, PATH=str(tmp_path))
    assert code == 1
    assert "not installed" in said
    assert "apt install" in said


def test_an_exiftool_that_is_none(tmp_path: Path) -> None:
    (tmp_path / "exiftool").symlink_to("/bin/true")
    code, said = run(tmp_path, PATH=f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    assert code == 1
    assert "does not answer as ExifTool" in said
    assert "apt install" in said


def test_a_ledger_of_a_newer_eyeline(tmp_path: Path) -> None:
    ledger = tmp_path / LEDGER
    with Ledger(ledger, datetime.now(UTC)):
        pass
    with closing(sqlite3.connect(ledger)) as connection:
        connection.execute("PRAGMA user_version = 999")
    before = ledger.read_bytes()
    code, said = run(tmp_path)
    assert code == 1
    assert f"{ledger}: this ledger is of version 999, made by a newer eyeline" in said
    assert "Update eyeline" in said
    assert ledger.read_bytes() == before
