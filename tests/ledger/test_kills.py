"""A writer killed at any moment leaves a sound ledger with every decision that it had committed."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from eyeline.ledger import Ledger
from tests.ledger.invented import FOLDER, NOW

KILLS = 10
LATEST_KILL_SECONDS = 0.4  # after the first commit: enough for some hundred more

WRITER = """
import sys
from pathlib import Path
from eyeline.ledger import Ledger
from tests.ledger import invented

start = int(sys.argv[2])
with Ledger(Path(sys.argv[1]), invented.NOW) as ledger:
    for number in range(start, start + 1_000_000):
        path = invented.FOLDER / f"{number}.jpg"
        with ledger.transaction():
            ledger.files.remember(path, invented.STAMP, invented.NOW)
            ledger.photos.record(invented.photo(path, f"d{number}"))
            ledger.files.measured(path, invented.STAMP, f"d{number}", 1, invented.NOW)
            ledger.decisions.add(invented.decision(path, f"d{number}"))
            ledger.files.written(path, invented.NOW)
        print(number, flush=True)
        if number % 50 == 0:
            ledger.upkeep(invented.NOW)
"""


@pytest.mark.slow
def test_ten_kills_lose_no_committed_decision(tmp_path: Path) -> None:
    path = tmp_path / "ledger.sqlite3"
    moments = random.Random(7)
    committed: list[int] = []
    for turn in range(KILLS):
        start = turn * 1_000_000
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITER, os.fspath(path), str(start)],
            stdout=subprocess.PIPE,
            text=True,
            cwd=Path(__file__).parents[2],
        )
        assert writer.stdout is not None
        told = [writer.stdout.readline()]
        try:
            writer.wait(timeout=moments.uniform(0, LATEST_KILL_SECONDS))
        except subprocess.TimeoutExpired:
            writer.send_signal(signal.SIGKILL)
        told += writer.stdout.read().splitlines()
        assert writer.wait() == -signal.SIGKILL
        writer.stdout.close()
        committed += [int(line) for line in told]

        connection = sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        found = {row[0] for row in connection.execute("SELECT digest FROM decisions")}
        connection.close()
        assert {f"d{number}" for number in committed} <= found
    assert len(committed) >= KILLS
    with Ledger(path, NOW) as ledger:
        photos, decisions = ledger.status().photos, ledger.status().decisions
        assert photos == decisions == len(list(ledger.files.under(FOLDER))), (
            "no transaction is there by halves"
        )
        assert len(committed) <= decisions <= len(committed) + KILLS
        last = FOLDER / f"{committed[-1]}.jpg"
        assert ledger.decisions.latest(last) is not None and ledger.photos.at(last) is not None
