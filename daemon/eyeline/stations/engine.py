"""The engine whose workers are stations: photos go to Dask's scheduler, answers come back as Futures."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine, Mapping, Sequence
from concurrent.futures import Future
from contextlib import AbstractContextManager, suppress
from dataclasses import replace
from pathlib import Path
from threading import Thread
from types import TracebackType
from typing import Any, Self, TypeVar

from eyeline.errors import EyelineError, UnreadablePhoto
from eyeline.intake.roots import root_of
from eyeline.intake.status import status_of
from eyeline.previews.store import Previews
from eyeline.stations import station
from eyeline.stations.asked import Answered, Asked
from eyeline.stations.dispatch import READ_CURE, Dispatch
from eyeline.stations.meeting import Do, Meeting, Task
from eyeline.terms.frame import Frame
from eyeline.terms.measurement import Measurement
from eyeline.workers.draw import ToDraw
from eyeline.workers.examine import Examined
from eyeline.workers.keep_previews import kept
from eyeline.workers.pool import WorkerPool

Result = TypeVar("Result")

ENDING_SECONDS = 30.0
"""Longest wait for all of it to end."""


class StationEngine:
    """Measures on the stations that are met at `meeting`, which is entered with the first photo.

    `roots`: the folders in which each station is checked. `tell` hears why a station is refused, and when
    none is there. Small versions of what is examined are kept in `previews`, on this machine; what was
    delivered lies on it too, and is measured by the processes `here`.
    """

    def __init__(
        self,
        meeting: Callable[[], AbstractContextManager[Meeting]],
        roots: Sequence[Path],
        here: WorkerPool,
        previews: Previews | None = None,
        tell: Callable[[EyelineError], None] = lambda _: None,
    ) -> None:
        self._dispatch = Dispatch(meeting, tell)
        self._roots = tuple(roots)
        self._here = here
        self._previews = previews
        self._identified_by: dict[Path, str] = {}
        self._thread: Thread | None = None
        self._loop = asyncio.new_event_loop()
        self._staying: asyncio.Task[None] | None = None

    @property
    def at_once(self) -> int:
        """Photos that the stations measure at the same time; 1 before any is there."""
        return max(1, self._dispatch.processes)

    def expect(self, photos: int) -> None:
        """Do nothing: stations are there or not."""

    def identify(self, path: Path, alone: bool = False) -> Future[Frame]:
        """Tell on a station which frame `path` is."""
        return self._begin(self._identify(path, alone))

    def examine(self, frame: Frame, alone: bool = False, plug_ins: bool = True) -> Future[Examined]:
        """Measure `frame` on a station, on the one that identified it where it is there."""
        return self._begin(self._examine(frame, alone, plug_ins))

    def measure(self, path: Path, plug_ins: bool = True) -> Future[Examined]:
        """Identify and measure the file at `path` on a station, in one go."""
        return self._begin(self._measure(path, plug_ins))

    def draw(self, photo: ToDraw, previews: Previews) -> Future[EyelineError | None]:
        """Draw on a station the small versions of a photo that was measured before."""
        return self._begin(self._draw(photo, previews))

    def measure_again(self, path: Path, every: bool) -> Future[Mapping[str, Measurement]]:
        """Measure a delivered file in a process of this machine."""
        return self._here.measure_again(path, every)

    def let_go(self) -> None:
        """Have what no station has in hand end as LetGo."""
        if self._thread is not None:
            self._loop.call_soon_threadsafe(self._dispatch.let_go)

    def close(self) -> None:
        """Leave the scheduler; what is in hand is dropped."""
        if self._thread is not None and self._thread.is_alive():
            self._loop.call_soon_threadsafe(self._end)
            self._thread.join(ENDING_SECONDS)
            self._thread = None
        self._here.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _begin(self, work: Coroutine[Any, Any, Result]) -> Future[Result]:
        if self._thread is None:
            self._thread = Thread(target=self._run, name="eyeline-stations", daemon=True)
            self._thread.start()
        return asyncio.run_coroutine_threadsafe(work, self._loop)

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._staying = self._loop.create_task(self._dispatch.stay())
        with suppress(asyncio.CancelledError):
            self._loop.run_until_complete(self._staying)
        rest = asyncio.all_tasks(self._loop)
        for each in rest:
            each.cancel()
        self._loop.run_until_complete(asyncio.gather(*rest, return_exceptions=True))

    def _end(self) -> None:
        if self._staying is not None:
            self._staying.cancel()

    async def _identify(self, path: Path, alone: bool) -> Frame:
        task = await self._task("identify", station.identify, path, alone=alone)
        answered = await self._dispatch.carry_out(task)
        self._identified_by[path] = answered.address
        return answered.found  # type: ignore[no-any-return]

    async def _examine(self, frame: Frame, alone: bool, plug_ins: bool) -> Examined:
        task = await self._task(
            "examine", station.examine, frame.path,
            alone=alone, frame=frame, plug_ins=plug_ins, pictures=self._wants_pictures,
        )  # fmt: skip
        preferred = self._identified_by.pop(frame.path, None)
        return await self._kept(await self._dispatch.carry_out(task, preferred))

    async def _measure(self, path: Path, plug_ins: bool) -> Examined:
        task = await self._task(
            "measure", station.measure, path, plug_ins=plug_ins, pictures=self._wants_pictures
        )
        return await self._kept(await self._dispatch.carry_out(task))

    @property
    def _wants_pictures(self) -> bool:
        return self._previews is not None and self._previews.most_bytes > 0

    async def _kept(self, answered: Answered) -> Examined:
        """What a station measured, its small versions put in their place."""
        examined: Examined = answered.found
        if self._previews is None or not answered.pictures:
            return examined
        bytes_kept, problem = await asyncio.to_thread(kept, self._previews, examined.frame, answered.pictures)
        return replace(examined, preview_bytes=bytes_kept, preview_problem=problem)

    async def _draw(self, photo: ToDraw, previews: Previews) -> EyelineError | None:
        task = await self._task(
            "draw", station.draw, photo.frame.path, frame=photo.frame, points=photo.points, pictures=True
        )
        answered = await self._dispatch.carry_out(task)
        if answered.found is not None:
            return answered.found  # type: ignore[no-any-return]
        return (await asyncio.to_thread(kept, previews, photo.frame, answered.pictures))[1]

    async def _task(self, name: str, do: Do, path: Path, **more: Any) -> Task:
        status = await asyncio.to_thread(status_of, path)
        if status is None:
            raise UnreadablePhoto("it is not there", path, READ_CURE)
        root = root_of(path, self._roots)
        root = path.parent if root is None or root == path else root
        return Task(name, do, root, Asked(path, status.size, status.mtime_ns, **more))
