"""A station: one process that Dask's scheduler hands photos to, and the worker processes that measure them.

Photos are measured in processes of their own, as on a single machine, so that one that crashes, hangs or is
greedy costs one of those and never the station.
"""

from __future__ import annotations

import asyncio
import socket
import time
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Lock
from typing import Any

from eyeline.errors import EyelineError, WorkerLost
from eyeline.stations.asked import Answered, Asked
from eyeline.stations.joining import described, digest_of
from eyeline.stations.paths import PathMap
from eyeline.stations.tasks import (
    Done,
    Here,
    draw_here,
    examine_here,
    identify_here,
    measure_here,
    unfit_here,
)
from eyeline.workers.examine import Examined
from eyeline.workers.pool import PHOTOS_WORTH_A_WORKER, WorkerPool, outcome

PROBE_SECONDS = 10.0
"""Patience with a folder that may not answer: longer than a sleeping disk takes to spin up."""


@dataclass(slots=True)
class Station:
    """What this process is as a station. `box`: an empty folder of its own, for Dask.

    `unfit`: what it lacks, "" where nothing, None as long as nobody has looked. `refused`: why no daemon has
    it measure, "" where one has, None as long as none has said. `told`: hears what a daemon says of it.
    """

    pool: WorkerPool
    processes: int
    paths: PathMap
    box: Path
    told: Callable[[str], None] = lambda _: None
    host: str = field(default_factory=socket.gethostname)
    address: str = ""
    refused: str | None = None
    measured: int = 0
    unfit: str | None = None
    in_hand: dict[int, str] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)
    _number: int = 0

    async def answer(self, asked: Asked, do: Callable[[Here], Done]) -> Answered:
        """Have `do` done in a process; what it finds, or the error that this photo came to."""
        with self._lock:  # the pool is not made for several threads
            self._number += 1
            number = self._number
            self.in_hand[number] = str(asked.path)
            self.pool.expect(self.processes * PHOTOS_WORTH_A_WORKER)
            future = self.pool.do(do, Here(asked, self.paths.here(asked.path)), asked.alone)
        try:
            await _end_of(future)
            done = outcome(asked.path, future)
        finally:
            self.in_hand.pop(number, None)
        done = Done(done) if isinstance(done, EyelineError) else done
        self.measured += isinstance(done.found, Examined)
        return Answered(self.address, self._as_the_daemon_has_it(done.found, asked), done.pictures)

    def _as_the_daemon_has_it(self, found: Any, asked: Asked) -> Any:
        if isinstance(found, WorkerLost):
            return WorkerLost(f"{found.what} (station {self.host})", asked.path, found.cure)
        if isinstance(found, EyelineError) and found.file is not None:
            return type(found)(found.what, asked.path, found.cure)
        if isinstance(found, Examined):
            return replace(found, frame=replace(found.frame, path=asked.path))
        return replace(found, path=asked.path) if found is not None and asked.frame is None else found

    async def report(self, probes: tuple[str, ...]) -> dict[str, Any]:
        """What `joining.Report` holds, in plain values; `probes`: paths as the daemon names them."""
        if self.unfit is None or self.unfit:
            self.unfit = await asyncio.to_thread(self._look_at_itself)
        places = {path: self.paths.here(Path(path)) for path in probes}
        return {
            "host": self.host,
            "measures": described(),
            "clock_s": time.time(),
            "processes": self.processes,
            "unfit": self.unfit,
            "digests": {path: await _digest(place) for path, place in places.items()},
            "places": {path: str(place) for path, place in places.items()},
        }

    def _look_at_itself(self) -> str:
        with self._lock:
            future = self.pool.do(unfit_here, None)
        found = outcome(Path(), future)
        return f"{found.what}. {found.cure}" if isinstance(found, EyelineError) else found

    def status(self) -> dict[str, Any]:
        """Who does what, in plain values."""
        return {
            "host": self.host,
            "processes": self.processes,
            "measured": self.measured,
            "in_hand": list(self.in_hand.values())[: self.processes],
            "refused": self.refused or "",
        }

    def hear(self, refused: str) -> None:
        """A daemon says why this station may not measure, or "" that it may."""
        if refused != self.refused:
            self.refused = refused
            self.told(refused)


this: Station | None = None
"""The station that this process is: what Dask calls are functions, and they find it here."""


def _this() -> Station:
    if this is None:
        raise EyelineError("this process is no station", cure="Start it with: eyeline workers start")
    return this


async def identify(asked: Asked) -> Answered:
    """Tell which frame a photo is."""
    return await _this().answer(asked, identify_here)


async def examine(asked: Asked) -> Answered:
    """Measure a photo."""
    return await _this().answer(asked, examine_here)


async def measure(asked: Asked) -> Answered:
    """Tell which frame a photo is and measure it."""
    return await _this().answer(asked, measure_here)


async def draw(asked: Asked) -> Answered:
    """Draw the small versions of a photo."""
    return await _this().answer(asked, draw_here)


async def report(probes: tuple[str, ...]) -> dict[str, Any]:
    """Tell a daemon of this station."""
    return await _this().report(probes)


def status() -> dict[str, Any]:
    """Tell who does what."""
    return _this().status()


def hear(refused: str) -> None:
    """Hear what a daemon says of this station."""
    _this().hear(refused)


async def _end_of(future: Future[Any]) -> None:
    """Wait until `future` is done; giving up waiting leaves what a process has in hand alone."""
    ended, loop = asyncio.Event(), asyncio.get_running_loop()

    def tell(_: Future[Any]) -> None:
        with suppress(RuntimeError):  # the loop is closed: the station ends
            loop.call_soon_threadsafe(ended.set)

    future.add_done_callback(tell)
    await ended.wait()


async def _digest(place: Path) -> str:
    try:
        return await asyncio.wait_for(asyncio.to_thread(digest_of, place), PROBE_SECONDS)
    except TimeoutError:
        return "!its folder does not answer"
    except OSError as error:
        return f"!{error.strerror or error}"
