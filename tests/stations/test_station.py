"""What a station hears of itself from the daemon."""

from __future__ import annotations

from pathlib import Path

from eyeline.stations.paths import PathMap
from eyeline.stations.station import Station
from eyeline.workers.pool import WorkerPool


def test_acceptance_and_each_other_refusal_are_told_once(tmp_path: Path) -> None:
    heard: list[str] = []
    with WorkerPool(1) as pool:
        here = Station(pool, 1, PathMap(), tmp_path, told=heard.append)
        for said in ("", "", "its clock is off", "its clock is off", "", ""):
            here.hear(said)
        assert heard == ["", "its clock is off", ""]
        assert here.status()["refused"] == ""
