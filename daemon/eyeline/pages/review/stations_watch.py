"""The stations as pages show them: asked every few seconds while a page is open."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from eyeline.errors import EyelineError, printable
from eyeline.settings.configuration import Configuration

if TYPE_CHECKING:
    from eyeline.stations.overview import Doing

LOOK_SECONDS = 4.0
"""Between two looks: often enough to be followed, seldom enough to cost the scheduler nothing."""

WINDOW_SECONDS = 60.0
"""Photos a minute are counted over so long: a photo or two more or less do not move them."""

LEAST_SECONDS = 3.0
"""Over less nothing is said of photos a minute."""


@dataclass(frozen=True, slots=True)
class AtWork:
    """A station, and how many photos it measures a minute; None as long as too little is known."""

    doing: Doing
    a_minute: int | None


@dataclass(frozen=True, slots=True)
class Shown:
    """The stations by host; `sentence` and `cure`: what there is to say of them all."""

    stations: tuple[AtWork, ...]
    sentence: str
    cure: str = ""


def a_minute(counts: Sequence[tuple[float, int]]) -> int | None:
    """Photos a minute from `counts`: moments in seconds and how many were measured by then, oldest first."""
    if not counts or counts[-1][0] - counts[0][0] < LEAST_SECONDS:
        return None
    (first_s, first), (last_s, last) = counts[0], counts[-1]
    return round(60 * (last - first) / (last_s - first_s))


def shown_of(stations: Sequence[AtWork], address: str) -> Shown:
    """What is shown of `stations` of the scheduler at `address`."""
    if not stations:
        return Shown((), "No station is there; photos wait.", f"eyeline workers start {address}")
    able = [each for each in stations if not each.doing.refused]
    refused = len(stations) - len(able)
    words = f"{len(able)} of {len(stations)} stations measure" if refused else _measure(len(able))
    at_a_time = sum(each.doing.processes for each in able)
    rates = [each.a_minute for each in able if each.a_minute is not None]
    rate = f"; {sum(rates)} photos a minute" if rates else ""
    return Shown(tuple(stations), f"{words}, {at_a_time} photos at a time{rate}.")


def _measure(count: int) -> str:
    return "One station measures" if count == 1 else f"{count} stations measure"


class StationsWatch:
    """Asks `ask` for the stations of the scheduler at `address` while somebody looks (`is_heard`); `changed`
    hears when they differ from before."""

    def __init__(
        self,
        address: str,
        ask: Callable[[], Sequence[Doing]],
        is_heard: Callable[[], bool],
        changed: Callable[[], None],
    ) -> None:
        self._address = printable(address)
        self._ask = ask
        self._is_heard = is_heard
        self._changed = changed
        self._counts: dict[str, deque[tuple[float, int]]] = {}
        self._looked_at_s = float("-inf")
        self._lock = threading.Lock()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="eyeline-stations-watch", daemon=True)
        self.shown = Shown((), "The stations have not been asked yet.")

    def start(self) -> None:
        """Begin to look."""
        self._thread.start()

    def stop(self) -> None:
        """Look no more."""
        self._stop.set()

    def looked(self) -> Shown:
        """What is there, asked now unless it was a moment ago."""
        with self._lock:
            if time.monotonic() - self._looked_at_s >= LOOK_SECONDS:
                self.shown = self._look()
                self._looked_at_s = time.monotonic()
            return self.shown

    def _run(self) -> None:
        while not self._stop.wait(LOOK_SECONDS):
            before = self.shown
            if self._is_heard() and self.looked() != before:
                self._changed()

    def _look(self) -> Shown:
        try:
            found = self._ask()
        except EyelineError as error:
            self._counts.clear()
            return Shown((), f"{error.what[:1].upper()}{error.what[1:]}.", error.cure)
        now_s = time.monotonic()
        self._counts = {each.address: self._counts.get(each.address, deque()) for each in found}
        for each in found:
            counts = self._counts[each.address]
            counts.append((now_s, each.measured))
            while now_s - counts[0][0] > WINDOW_SECONDS:
                counts.popleft()
        at_work = [AtWork(each, a_minute(list(self._counts[each.address]))) for each in found]
        return shown_of(at_work, self._address)


def watch_of(
    configuration: Configuration, is_heard: Callable[[], bool], changed: Callable[[], None]
) -> StationsWatch | None:
    """The watch over the stations of `configuration`; None where none are asked for, or where they are
    eyeline's own, of this machine, and end with it."""
    address, certificates = configuration.scheduler, configuration.certificates
    if configuration.engine != "dask" or address is None:
        return None
    return StationsWatch(address, lambda: _asked(address, certificates), is_heard, changed)


def _asked(address: str, certificates: Path) -> Sequence[Doing]:
    from eyeline.stations.overview import who_does_what

    return who_does_what(address, certificates)
