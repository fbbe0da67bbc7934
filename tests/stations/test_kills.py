"""Daemon, scheduler, stations, their processes killed at random: afterwards all is as on one quiet machine.

The short form runs in CI, where namespaces are permitted. The full one: `python -m tests.stations`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.stations.__main__ import quiet_and_disturbed
from tests.stations.hosts import why_not

PHOTOS, KILLS, LONGEST_PAUSE_SECONDS = 6, 3, 5.0

REFUSED = why_not()


@pytest.mark.slow
@pytest.mark.timeout(1800)
@pytest.mark.skipif(REFUSED is not None, reason=f"no machines of namespaces: {REFUSED}")
def test_kills_on_several_machines_leave_no_trace(tmp_path: Path) -> None:
    day, faults = quiet_and_disturbed(
        tmp_path, PHOTOS, KILLS, seed=79, longest_pause_s=LONGEST_PAUSE_SECONDS, chairs=["chair-2"], each=1
    )  # fmt: skip
    assert faults == []
    assert day.kills.total() >= 1
    assert "Accepted: this station measures." in (day.home / "chair-2.txt").read_text()
