"""The suite by stations: `pytest --engine dask` has every engine, also those of processes that tests start,
be one scheduler and one station of this machine."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from eyeline.stations.overview import who_does_what
from tests.waiting import PATIENCE_SECONDS

PROCESSES = 2
FOLDER = Path(__file__).resolve().parent / "instead"


def begin() -> None:
    """Before anything of eyeline's is loaded that would choose an engine: have it choose stations."""
    os.environ["EYELINE_TEST_SCHEDULER"] = ""
    os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, [str(FOLDER), os.environ.get("PYTHONPATH")]))
    from eyeline.run import engines, session
    from tests.stations.instead.sitecustomize import choose_stations

    choose_stations(engines)
    session.engine_of = engines.engine_of


@contextmanager
def one_station(home: Path) -> Iterator[str]:
    """The address of a scheduler with one station, of which the environment tells; both end with it."""
    with scheduler_and_stations(home, [None], PROCESSES) as address:
        os.environ["EYELINE_TEST_SCHEDULER"] = address
        yield address


@contextmanager
def scheduler_and_stations(
    home: Path, maps: Sequence[tuple[Path, Path] | None], processes: int
) -> Iterator[str]:
    """The address of a scheduler with a station for each of `maps`, the daemon's path and the station's."""
    environment = os.environ | {"HOME": str(home)}

    def started(*words: str) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, "-m", "eyeline", "workers", *words, "--until-input-ends"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE if words[0] == "scheduler" else None,
            text=True,
            env=environment,
            start_new_session=True,
        )

    running = [started("scheduler", "tcp://127.0.0.1:0")]
    assert running[0].stdout is not None
    address = running[0].stdout.readline().split()[-1]
    for each in maps:
        words = ["start", address, "--count", str(processes)]
        running.append(started(*words, *(["--map", f"{each[0]}={each[1]}"] if each else [])))
    try:
        yield address
    finally:
        for process in reversed(running):
            assert process.stdin is not None
            process.stdin.close()
            process.wait(PATIENCE_SECONDS)


def measured(address: str) -> int:
    """How many photos the stations there have measured."""
    return sum(each.measured for each in who_does_what(address, Path()))
