"""The roll of the stations: who is there, who may measure where, and why somebody may not."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from eyeline.errors import EyelineError
from eyeline.stations import station
from eyeline.stations.joining import Probe, Report, blindness, described, digest_of, refusal

ANSWER_SECONDS = 20.0
"""Patience with a station that is asked about itself: longer than it has with a folder, and with models."""

ASKED_AGAIN_SECONDS = 5.0
"""After which a station that was refused is asked again: what was wrong may have been mended."""


@dataclass(slots=True, eq=False)
class Present:
    """A station that is there: `passed` are the roots in which it may measure, `in_hand` photos it has."""

    address: str
    identity: str
    host: str = ""
    processes: int = 0
    passed: set[Path] = field(default_factory=set)
    fit: bool = False
    refused: str = ""
    asked_at_s: float = float("-inf")
    in_hand: int = 0

    def load(self) -> float:
        """Photos in hand for each process."""
        return self.in_hand / max(1, self.processes)


@dataclass(slots=True)
class Roll:
    """The stations of a scheduler as one daemon knows them. Used in one thread, that of its event loop.

    `tell` hears of each refusal once. `changed` is called when more or fewer stations may measure.
    """

    tell: Callable[[EyelineError], None]
    changed: Callable[[], None]
    stations: dict[str, Present] = field(default_factory=dict)
    probes: dict[Path, Probe] = field(default_factory=dict)
    _expected: Mapping[str, Any] = field(default_factory=described)
    _told: set[str] = field(default_factory=set)

    def able(self, root: Path) -> list[Present]:
        """The stations that may measure in `root`."""
        return [each for each in self.stations.values() if each.fit and root in each.passed]

    @property
    def processes(self) -> int:
        """How many photos are measured at the same time by those that may measure somewhere."""
        return sum(each.processes for each in self.stations.values() if each.fit and each.passed)

    async def call(self, client: Any) -> None:
        """See who is there, and ask those that are new, or may not measure everywhere yet."""
        told = await client.scheduler.identity(n_workers=-1)
        there = {address: str(each["name"]) for address, each in told["workers"].items()}
        gone = [each for each in self.stations.values() if there.get(each.address) != each.identity]
        for each in gone:
            del self.stations[each.address]
        for address, identity in there.items():
            if address not in self.stations:
                self.stations[address] = Present(address, identity)
        if gone:
            self.changed()
        now_s = time.monotonic()
        due = [
            each
            for each in self.stations.values()
            if (not each.fit or self.probes.keys() - each.passed)
            and (not each.refused or now_s - each.asked_at_s > ASKED_AGAIN_SECONDS)
        ]
        await asyncio.gather(*(self._ask(client, each) for each in due))

    async def sees(self, client: Any, address: str, probe: Probe) -> bool:
        """Whether the station at `address` is there and sees `probe`; if not it measures no more in its root
        until it does."""
        present = self.stations.get(address)
        if present is None:
            return False
        self.probes[probe.root] = probe
        present.passed.discard(probe.root)
        await self._ask(client, present)
        return probe.root in present.passed

    def clear(self) -> None:
        """Nobody is there: the scheduler is gone."""
        self.stations.clear()
        self.changed()

    async def _ask(self, client: Any, present: Present) -> None:
        present.asked_at_s = time.monotonic()
        probes = [each for root, each in self.probes.items() if root not in present.passed]
        asked_s = time.time()
        report = await _answer(client, present.address, tuple(str(each.path) for each in probes))
        answered_s = time.time()
        if report is None:  # silent: it is asked again, and Dask takes it off the list if it is gone
            present.fit = False
            return
        before = present.fit, set(present.passed)
        present.host, present.processes = report.host, report.processes
        wrong = refusal(report, self._expected, asked_s, answered_s)
        present.fit = wrong is None
        for probe in probes if present.fit else ():
            blind = blindness(report, probe)
            if blind is None:
                present.passed.add(probe.root)
            elif await _is_still(probe):
                wrong = blind
            elif self.probes.get(probe.root) is probe:  # the photo itself has changed or gone
                del self.probes[probe.root]
        await self._say(client, present, wrong)
        if (present.fit, present.passed) != before or probes:
            self.changed()

    async def _say(self, client: Any, present: Present, wrong: str | None) -> None:
        refused = wrong or ""
        if present.refused == refused and (refused or not present.passed):
            return
        if refused and refused not in self._told:
            self._told.add(refused)
            with suppress(EyelineError):
                await asyncio.to_thread(self.tell, EyelineError(refused))
        present.refused = refused
        with suppress(Exception):  # it is told for whoever looks there; the refusal holds all the same
            await client.run(station.hear, refused, workers=[present.address], on_error="ignore")


async def _answer(client: Any, address: str, probes: tuple[str, ...]) -> Report | None:
    """What the station at `address` tells of itself; None where it is silent or gone."""
    try:
        answers = await asyncio.wait_for(
            client.run(station.report, probes, workers=[address], on_error="return"), ANSWER_SECONDS
        )
    except (OSError, TimeoutError):
        return None
    told = answers.get(address)
    if isinstance(told, dict):
        with suppress(TypeError):
            return Report.of(told)
    if told is None:
        return None
    return Report(address, {"edition": "?"}, time.time(), 0)


async def _is_still(probe: Probe) -> bool:
    try:
        return await asyncio.to_thread(digest_of, probe.path) == probe.digest
    except OSError:
        return False
