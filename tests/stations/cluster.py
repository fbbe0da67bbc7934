"""A scheduler and a station in threads of this process, the station's workers in processes as ever."""

from __future__ import annotations

import asyncio
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from threading import Event, Thread
from typing import Any

from eyeline.errors import EyelineError
from eyeline.stations import station
from eyeline.stations.certificates import security_for
from eyeline.stations.engine import StationEngine
from eyeline.stations.meeting import Meeting
from eyeline.stations.paths import PathMap
from eyeline.stations.serving import scheduler_at, worker_of
from eyeline.workers.pool import WorkerPool
from tests.waiting import PATIENCE_SECONDS

ANYWHERE = "tcp://127.0.0.1:0"


@contextmanager
def cluster(pool: WorkerPool, paths: PathMap | None = None, processes: int = 1) -> Iterator[str]:
    """The address of a scheduler with one station, which measures by `pool`."""
    with tempfile.TemporaryDirectory() as box:
        here = station.Station(pool, processes, paths or PathMap(), Path(box))
        station.this = here
        loop, ready, address = asyncio.new_event_loop(), Event(), ""
        stop = asyncio.Event()

        async def serve() -> None:
            nonlocal address
            security = security_for(ANYWHERE, Path(box))
            async with (
                scheduler_at(ANYWHERE, security) as scheduler,
                worker_of(here, scheduler.address, security) as worker,
            ):
                here.address, address = worker.address, scheduler.address
                ready.set()
                await stop.wait()

        def run() -> None:
            asyncio.set_event_loop(loop)
            loop.run_until_complete(serve())

        thread = Thread(target=run, daemon=True)
        thread.start()
        try:
            assert ready.wait(PATIENCE_SECONDS)
            yield address
        finally:
            loop.call_soon_threadsafe(stop.set)
            thread.join(PATIENCE_SECONDS)
            station.this = None


@contextmanager
def stations(
    pool: WorkerPool, *roots: Path, told: list[EyelineError] | None = None
) -> Iterator[StationEngine]:
    """The engine with one station on this machine, which measures by `pool`."""
    heard: Any = [].append if told is None else told.append
    with cluster(pool) as address:
        security = security_for(address, Path())
        meeting = Meeting(address, security)
        with StationEngine(lambda: nullcontext(meeting), roots, WorkerPool(1), tell=heard) as engine:
            yield engine
