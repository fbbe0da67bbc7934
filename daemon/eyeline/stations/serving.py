"""The two processes that run until they are stopped: the scheduler, and a station that stays with it."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
import uuid
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from eyeline.errors import EyelineError
from eyeline.stations import station
from eyeline.stations.certificates import security_for
from eyeline.stations.library import host_and_port, load, own_address_towards
from eyeline.stations.paths import PathMap
from eyeline.workers.pool import WorkerPool

AGAIN_S = 2.0
"""Pause before a scheduler that does not answer is tried again."""

JOINING_S = 10.0
"""Patience with a scheduler that does not answer while a station joins."""

WITHOUT_PAGES = "127.0.0.1:0"
"""Dask opens a port for pages whether there are any or not: on this machine alone."""


def run_scheduler(
    address: str, certificates: Path, say: Callable[[str], None], until_input_ends: bool = False
) -> None:
    """Schedule at `address` until SIGINT or SIGTERM. Raises BadConfiguration, EyelineError."""
    asyncio.run(_schedule(address, certificates, say, until_input_ends))


def run_station(
    address: str,
    certificates: Path,
    paths: PathMap,
    processes: int,
    say: Callable[[str], None],
    until_input_ends: bool = False,
) -> None:
    """Measure for the scheduler at `address` until SIGINT or SIGTERM; where it is gone, wait for it.

    Raises BadConfiguration.
    """
    with TemporaryDirectory(prefix="eyeline-station-") as box, WorkerPool(processes) as pool:
        here = station.Station(pool, processes, paths, Path(box))

        def told(refused: str) -> None:
            say(f"Refused: {refused}" if refused else "Accepted: this station measures.")

        here.told = told
        station.this = here
        try:
            asyncio.run(_measure(here, address, certificates, say, until_input_ends))
        finally:
            station.this = None


def scheduler_at(address: str, security: Any) -> Any:
    """Dask's scheduler, to be awaited and closed; port 0 is any that is free."""
    host, port = host_and_port(address)
    return load().Scheduler(
        host=host,
        port=port,
        protocol=address.partition("://")[0],
        security=security,
        dashboard=False,
        dashboard_address=WITHOUT_PAGES,
    )


def worker_of(here: station.Station, address: str, security: Any) -> Any:
    """Dask's worker for the station `here`, to be awaited and closed. Raises OSError where no way leads to
    the scheduler at `address`."""
    return load().Worker(
        address,
        nthreads=here.processes,
        name=f"{here.host}-{uuid.uuid4()}",
        host=own_address_towards(address),
        protocol=address.partition("://")[0],
        security=security,
        memory_limit=0,
        dashboard=False,
        dashboard_address=WITHOUT_PAGES,
        local_directory=str(here.box),
        death_timeout=f"{JOINING_S}s",
    )


async def _schedule(
    address: str, certificates: Path, say: Callable[[str], None], until_input_ends: bool
) -> None:
    stop = _stop_asked(until_input_ends)
    scheduler = scheduler_at(address, security_for(address, certificates))
    try:
        await scheduler
    except OSError as error:
        raise EyelineError(
            f"the scheduler cannot listen at {address} ({error.strerror or error})",
            cure="Is one running there already? Else choose another port",
        ) from error
    say(f"The scheduler listens at {scheduler.address}")
    try:
        await stop.wait()
    finally:
        with suppress(OSError, TimeoutError):
            await asyncio.wait_for(scheduler.close(), AGAIN_S)


async def _measure(
    here: station.Station,
    address: str,
    certificates: Path,
    say: Callable[[str], None],
    until_input_ends: bool,
) -> None:
    stop = _stop_asked(until_input_ends)
    security = security_for(address, certificates)
    waiting_told = False
    while not stop.is_set():
        here.refused = None
        try:
            worker = worker_of(here, address, security)
            await worker
        except (OSError, TimeoutError, ValueError, RuntimeError) as error:
            if not waiting_told:
                say(f"Waits for the scheduler at {address} ({error}).")
            waiting_told = True
            with suppress(TimeoutError):
                await asyncio.wait_for(stop.wait(), AGAIN_S)
            continue
        waiting_told = False
        here.address = worker.address
        say(f"Joined {address}, {here.processes} at the same time; waits for a daemon.")
        ended = asyncio.ensure_future(worker.finished())
        stopped = asyncio.ensure_future(stop.wait())
        await asyncio.wait({ended, stopped}, return_when=asyncio.FIRST_COMPLETED)
        for each in (ended, stopped):
            each.cancel()
        if stop.is_set():
            with suppress(OSError, TimeoutError):
                await asyncio.wait_for(worker.close(timeout=AGAIN_S, nanny=False), 2 * AGAIN_S)


def _stop_asked(until_input_ends: bool) -> asyncio.Event:
    """An event that SIGINT and SIGTERM set, and if so asked the end of the standard input."""
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(number, stop.set)
    if until_input_ends:

        def read() -> None:
            if not os.read(sys.stdin.fileno(), 1):
                loop.remove_reader(sys.stdin.fileno())
                stop.set()

        loop.add_reader(sys.stdin.fileno(), read)
    return stop
