"""kill -9 at random moments of an ingest: afterwards all is as if nobody had killed anything.

The short form runs in CI. The full one: `python -m tests.crashes --ingests 40 --photos 60 --kills 200`.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.crashes.ingest import WRITING, disturbed, undisturbed

PHOTOS, INGESTS, KILLS = 12, 2, 4
LEAST_SHARE_WHILE_WRITING = 0.3


@pytest.mark.slow
@pytest.mark.of_processes
@pytest.mark.timeout(1800)
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="finds child processes in /proc")
def test_kills_leave_no_trace(tmp_path: Path) -> None:
    expected = undisturbed(tmp_path / "undisturbed", PHOTOS)
    kills = []
    for seed in range(INGESTS):
        ingest = disturbed(tmp_path / str(seed), PHOTOS, KILLS, seed)
        assert ingest.faults() == []
        assert ingest.results() == expected
        kills += ingest.kills
    assert len(kills) >= INGESTS * KILLS / 2
    share = sum(kill.phase == WRITING for kill in kills) / len(kills)
    assert share >= LEAST_SHARE_WHILE_WRITING, kills
