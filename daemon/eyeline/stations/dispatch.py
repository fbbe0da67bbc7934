"""Photos on their way to stations and answers back, in an event loop, whatever vanishes meanwhile.

The scheduler tells who is there; a photo goes to its station and comes back without it. What a vanished
scheduler or station had in hand goes out again: measuring changes nothing, so twice does no harm.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import AbstractContextManager, suppress
from typing import Any

from eyeline.errors import EyelineError, UnreadablePhoto, WorkerLost
from eyeline.intake.status import status_of
from eyeline.stations.asked import Answered, NotAsSeen
from eyeline.stations.joining import Probe, digest_of
from eyeline.stations.library import load
from eyeline.stations.meeting import Meeting, Task
from eyeline.stations.roll import Present, Roll
from eyeline.workers.engine import LetGo
from eyeline.workers.examine import CHANGED_CURE

ROLL_SECONDS = 1.0
"""Between two looks at who is there."""

CONNECT_SECONDS = 5.0
"""Patience with a scheduler before it is tried again."""

UNMANNED_SECONDS = 15.0
"""Photos wait so long for a station before it is said."""

MOST_VANISHED = 1
"""Stations that may vanish over one photo; with the next it is handed back, to be tried alone."""

READ_CURE = "Check that it is still there and that you may read it"


class Dispatch:
    """Hands tasks to the stations met at `meeting`. `tell` hears of what is missing or refused, once each.

    All of it runs in the thread of one event loop, but that `processes` may be asked for from any.
    """

    def __init__(
        self,
        meeting: Callable[[], AbstractContextManager[Meeting]],
        tell: Callable[[EyelineError], None],
    ) -> None:
        self._distributed = load()
        self._meeting = meeting
        self._tell = tell
        self._roll = Roll(tell, self._note_change)
        self._letting_go = False
        self._waiting = 0
        self._said = ""
        self._client: Any = None
        self._changed = asyncio.Event()
        self._look = asyncio.Event()

    @property
    def processes(self) -> int:
        """How many photos the stations measure at the same time."""
        return self._roll.processes

    def let_go(self) -> None:
        """Have what no station has in hand end as LetGo."""
        self._letting_go = True
        self._note_change()

    async def stay(self) -> None:
        """Stay with the scheduler, or come back to it, however often it goes."""
        while True:
            try:
                with self._meeting() as meeting:
                    with suppress(OSError, TimeoutError, ValueError):
                        await self._stay_at(meeting)
                    if self._waiting:
                        await self._say_once(
                            f"no scheduler answers at {meeting.address}; photos wait",
                            "Start it on its machine: eyeline workers scheduler",
                        )
            except EyelineError as error:
                await self._say_once(error.what, error.cure)
            await asyncio.sleep(ROLL_SECONDS)

    async def _stay_at(self, meeting: Meeting) -> None:
        """Stay until the scheduler is gone. Raises OSError where it does not answer."""
        client = self._distributed.Client(
            meeting.address,
            asynchronous=True,
            security=meeting.security,
            timeout=CONNECT_SECONDS,
            set_as_default=False,
        )
        try:
            self._client = await client
            await self._call_the_roll(meeting)
        finally:
            self._client = None
            self._roll.clear()
            with suppress(OSError, TimeoutError):
                await client.close(CONNECT_SECONDS)

    async def _call_the_roll(self, meeting: Meeting) -> None:
        """See who is there again and again, until the scheduler is gone."""
        unmanned_s = 0.0
        while self._client.status == "running" and meeting.is_alive():
            await self._roll.call(self._client)
            if self._roll.processes:
                self._said = ""
            unmanned_s = unmanned_s + ROLL_SECONDS if self._waiting else 0.0
            if unmanned_s >= UNMANNED_SECONDS:
                await self._say_once(
                    f"no station measures for {meeting.address}; photos wait",
                    f"Start one on a machine that sees them: eyeline workers start {meeting.address}",
                )
            with suppress(TimeoutError):
                await asyncio.wait_for(self._look.wait(), ROLL_SECONDS)
            self._look.clear()

    async def _say_once(self, what: str, cure: str) -> None:
        if self._said == what:
            return
        self._said = what
        with suppress(EyelineError):
            await asyncio.to_thread(self._tell, EyelineError(what, cure=cure))

    async def carry_out(self, task: Task, preferred: str | None = None) -> Answered:
        """Have a station do `task`; another one where that vanishes or turns out not to see the photo."""
        vanished = 0
        while True:
            able = await self._able(task)
            at = next((each for each in able if each.address == preferred), min(able, key=Present.load))
            client = self._client
            answered = await self._answer(task, at)
            if answered is None:
                vanished += await self._has_vanished(at, client)
                if vanished > MOST_VANISHED:
                    raise WorkerLost(
                        "the stations that measured it vanished, one after the other", task.asked.path,
                        "Look at those machines' memory",
                    )  # fmt: skip
                continue
            found = answered.found
            if not isinstance(found, EyelineError):
                return answered
            if task.name == "draw" and not isinstance(found, UnreadablePhoto | WorkerLost | NotAsSeen):
                return answered
            if isinstance(found, NotAsSeen):
                status = await asyncio.to_thread(status_of, task.asked.path)
                if status is None or (status.size, status.mtime_ns) != (
                    task.asked.size_bytes, task.asked.mtime_ns
                ):  # fmt: skip
                    raise UnreadablePhoto("it changed while it was being read", task.asked.path, CHANGED_CURE)
            if await self._saw(answered.address, task) and not isinstance(found, NotAsSeen):
                raise found

    async def _able(self, task: Task) -> list[Present]:
        """The stations that may do `task`; waits for one."""
        self._waiting += 1
        try:
            while True:
                if self._letting_go:
                    raise LetGo(
                        "nobody has it in hand", task.asked.path, "It is measured after the next start"
                    )
                changed = self._changed
                if self._is_connected() and (able := self._roll.able(task.root)):
                    return able
                if task.root not in self._roll.probes:
                    self._roll.probes[task.root] = await self._probe(task)
                self._look.set()
                await changed.wait()
        finally:
            self._waiting -= 1

    async def _answer(self, task: Task, at: Present) -> Answered | None:
        """The answer of the station `at`; None where it, or the scheduler, has vanished."""
        client = self._client
        asking = asyncio.ensure_future(self._asked(client, at.address, task))
        at.in_hand += 1
        try:
            while not (await asyncio.wait({asking}, timeout=ROLL_SECONDS))[0]:
                if client is not self._client or self._roll.stations.get(at.address) is not at:
                    return None
            return None if asking.cancelled() else asking.result()
        except Exception as error:
            lost = isinstance(error, OSError | RuntimeError)  # the connection, or all with the scheduler's
            if lost or client is not self._client or not self._is_connected():
                return None
            raise
        finally:
            at.in_hand -= 1
            asking.cancel()

    async def _asked(self, client: Any, address: str, task: Task) -> Answered:
        """What the station at `address` answers. Raises OSError, RuntimeError, and what went wrong there."""
        packed = self._distributed.protocol.pickle.dumps
        told = await client.rpc(address).run(function=packed(task.do), args=packed((task.asked,)))
        if told["status"] != "OK":
            raise self._distributed.core.clean_exception(**told)[1]
        answered: Answered = told["result"]
        return answered

    async def _has_vanished(self, at: Present, client: Any) -> bool:
        """Whether the station `at` has gone, while the scheduler that `client` speaks to has not."""
        self._look.set()
        await asyncio.sleep(ROLL_SECONDS)
        stays = client is self._client and self._is_connected()
        return stays and self._roll.stations.get(at.address) is not at

    async def _saw(self, address: str, task: Task) -> bool:
        """Whether the station at `address` sees the photo of `task`, so that what it told is the photo's."""
        try:
            probe = await self._probe(task)
        except EyelineError:  # nor does this machine see it
            return True
        with suppress(OSError, TimeoutError):
            return self._client is not None and await self._roll.sees(self._client, address, probe)
        return False

    async def _probe(self, task: Task) -> Probe:
        path = task.asked.path
        try:
            return Probe(task.root, path, await asyncio.to_thread(digest_of, path))
        except OSError as error:
            raise UnreadablePhoto(
                f"it cannot be read ({error.strerror or error})", path,
                READ_CURE,
            ) from error  # fmt: skip

    def _is_connected(self) -> bool:
        return self._client is not None and self._client.status == "running"

    def _note_change(self) -> None:
        """Wake whoever waits for stations."""
        self._changed.set()
        self._changed = asyncio.Event()
