"""Daemon, scheduler, stations, their processes killed at random: afterwards all is as on one quiet machine.

The short form runs in CI, where namespaces are permitted. The full one: `python -m tests.stations`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.stations.__main__ import quiet_and_disturbed
from tests.stations.hosts import why_not

PHOTOS, KILLS = 8, 3

REFUSED = why_not()


@pytest.mark.slow
@pytest.mark.timeout(1800)
@pytest.mark.skipif(REFUSED is not None, reason=f"no machines of namespaces: {REFUSED}")
def test_kills_on_several_machines_leave_no_trace(tmp_path: Path) -> None:
    day, faults = quiet_and_disturbed(tmp_path, PHOTOS, KILLS, seed=3)
    assert faults == []
    assert day.kills.total() >= 1
    logs = "".join((day.home / f"{chair}.txt").read_text() for chair in ("chair-2", "chair-3"))
    assert "Accepted: this station measures." in logs
