"""What happens while a pass is under way: a photo vanishes, somebody types Ctrl-C."""

from __future__ import annotations

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.conftest import SHOOT, copy_frames, environment
from tests.cli.test_bad_input import names_in
from tests.waiting import PATIENCE_SECONDS


def is_known(photo: Path, ledger: Path) -> bool:
    if not ledger.exists():
        return False
    with sqlite3.connect(f"file:{ledger}?mode=ro", uri=True) as connection:
        try:
            found = connection.execute("SELECT 1 FROM files WHERE path = ?", (os.fsencode(photo),))
        except sqlite3.OperationalError:  # its tables are not made yet
            return False
        return found.fetchone() is not None


def test_a_photo_that_vanishes_under_way_costs_only_itself(tmp_path: Path) -> None:
    frames = copy_frames(tmp_path / "card", *[path.name for path in sorted(SHOOT.glob("*.jpg"))[:5]])
    process = subprocess.Popen(
        [sys.executable, "-m", "eyeline", "run", tmp_path / "card", "--json"],
        env=environment(tmp_path),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    ledger = tmp_path / ".local/share/eyeline/ledger.sqlite3"
    while process.poll() is None and not is_known(frames[-1], ledger):
        time.sleep(0.01)
    frames[-1].unlink()
    out, err = process.communicate(timeout=PATIENCE_SECONDS)
    judged = {Path(json.loads(line)["file"]).name for line in out.splitlines()}
    assert {frame.name for frame in frames[:-1]} <= judged
    if frames[-1].name not in judged:
        assert frames[-1].name in err


TOLD_WHEN_IT_BEGINS = """
import os, sys
from eyeline.cli.main import main
os.write(int(sys.argv.pop(1)), b"x")
sys.exit(main())
"""
"""`python -m eyeline`, which says when eyeline itself has the word: before that, Ctrl-C is the interpreter's,
and on a slow machine it is still loading after a second."""


@pytest.mark.parametrize("delay_seconds", [0.15, 1.2, 2.7])
def test_ctrl_c_at_any_moment_leaves_nothing_half_written(delay_seconds: float, tmp_path: Path) -> None:
    card = tmp_path / "card"
    shutil.copytree(SHOOT, card)
    begun, tells = os.pipe()
    process = subprocess.Popen(
        [sys.executable, "-c", TOLD_WHEN_IT_BEGINS, str(tells), "run", card],
        env=environment(tmp_path),
        pass_fds=[tells],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        # A test run in the background of a shell inherits an ignored SIGINT; a person at a terminal does not.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    os.close(tells)
    with open(begun, "rb") as told:
        assert told.read(1) == b"x"
        time.sleep(delay_seconds)
        os.killpg(process.pid, signal.SIGINT)
        _, err = process.communicate(timeout=PATIENCE_SECONDS)
    # CPython ends itself by SIGINT where that came in the middle of code made at run time, as dataclasses
    # are while modules load; a shell reports 130 for that too.
    assert process.returncode in (0, 130, -signal.SIGINT), err
    assert "Traceback" not in err
    assert not [name for name in names_in(card) if name.startswith(".eyeline-") or "exiftool_tmp" in name]
    for sidecar in card.glob("*.xmp"):
        subprocess.run(["exiftool", "-validate", "-q", sidecar], check=True, capture_output=True)
    ledger = tmp_path / ".local/share/eyeline/ledger.sqlite3"
    if ledger.exists():
        with sqlite3.connect(ledger) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
