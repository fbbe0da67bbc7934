"""The workers: processes that read and measure, replaced when they crash, hang or grow too large."""

from __future__ import annotations

import errno
import multiprocessing
import os
import resource
import signal
from collections.abc import Callable, Mapping
from concurrent.futures import Future, TimeoutError
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from multiprocessing import resource_tracker
from pathlib import Path
from types import TracebackType
from typing import Self, TypeVar

from pebble import ProcessExpired, ProcessPool

from eyeline.errors import EyelineError, UnreadablePhoto, WorkerLost, is_out_of_memory
from eyeline.previews.drawing import Kind
from eyeline.previews.store import Previews
from eyeline.settings.machine import LARGEST_WORKER_BYTES, memory_of_each
from eyeline.system.interrupts import interrupts_held
from eyeline.terms.frame import Frame
from eyeline.terms.measurement import Measurement
from eyeline.workers.draw import ToDraw, draw, sketch
from eyeline.workers.examine import Examined, examine, examine_built_in, identify, measure, warm_up
from eyeline.workers.measure_again import measure_again

Argument = TypeVar("Argument")
Result = TypeVar("Result")

BUDGET_SECONDS = 40.0
"""Longest that one photo may take before its worker is ended: a 24-megapixel JPEG takes well under a
second, a RAW of 150 megapixels without a preview some twenty, and the first photo of a worker waits for the
models to load."""

PHOTOS_PER_WORKER = 2_000
"""Photos after which a worker is renewed, so that a slow leak in a native library cannot add up."""

PHOTOS_WORTH_A_WORKER = 4
"""Photos that have to wait for each worker: starting one takes about as much processor time as measuring
four photos, so more workers for fewer photos would spend more on starting than on measuring."""

ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1"}
"""NumPy's own threads, one a processor, would wait for one another several times as long as the small
products of the networks take, in every worker."""

NO_WORKER_CURE = "Raise the limit of open files (ulimit -n), and look how much memory is free"

OUT_OF_MEMORY = errno.ENOMEM
"""Exit code of a worker that ran out of memory."""


def _start_worker(alone_bytes: int) -> None:
    # Ctrl-C goes to the whole terminal group; only the parent decides when to stop.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_DATA, (alone_bytes, alone_bytes))
    # The native libraries log straight to the terminal; what matters comes back as an exception.
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 2)
    os.close(silence)
    warm_up()


def _work(task: Callable[[Argument], Result], argument: Argument, memory_bytes: int) -> Result:
    """In a worker: `task` of `argument` with at most `memory_bytes` of private memory. Out of memory the
    worker ends: what native libraries took for the one photo they do not give back, and the next would find
    too little."""
    resource.setrlimit(resource.RLIMIT_DATA, (memory_bytes, resource.getrlimit(resource.RLIMIT_DATA)[1]))
    try:
        return task(argument)
    except Exception as error:
        if is_out_of_memory(error):
            os._exit(OUT_OF_MEMORY)
        raise


class _GrowingPool(ProcessPool):  # type: ignore[misc,unused-ignore]
    """A pool that can be given more workers while it runs, and that ends quietly while some are starting.
    pebble starts whatever is missing of their number every tenth of a second, and has no call that raises the
    number."""

    def grow(self, workers: int) -> None:
        """Have at least `workers` processes from now on."""
        manager = self._pool_manager.worker_manager
        manager.workers_number = max(manager.workers_number, workers)

    def _stop_pool(self) -> None:
        # pebble gives up the names of its locks before it ends the workers; one that is just starting would
        # look for them and print a traceback.
        channel = self._pool_manager.worker_manager.workers_channel
        unlink = channel.mutex.unlink if channel is not None else _nothing
        if channel is not None:
            channel.mutex.unlink = _nothing  # type: ignore[method-assign,unused-ignore]
        try:
            super()._stop_pool()  # type: ignore[no-untyped-call,unused-ignore]
        finally:
            unlink()  # type: ignore[no-untyped-call,unused-ignore]


def _nothing() -> None:
    """Stands for a step that is done later, or not at all."""


class WorkerPool:
    """Processes that examine photos: none before the first photo, then one for every
    `PHOTOS_WORTH_A_WORKER` photos that wait, at most `workers`.

    A photo whose worker crashed, hung past `budget_seconds` or ran out of `memory_bytes` fails alone; the
    worker is replaced and every other photo goes on. A photo that is measured alone, while no other is, may
    take `alone_bytes`. By default each worker has its share of the memory at hand. Small versions of what is
    examined are kept in `previews`.

    Where a worker died between two photos the whole pool is lost, with what was in flight (WorkerLost), and
    the next photo finds a new one.
    """

    def __init__(
        self,
        workers: int,
        budget_seconds: float = BUDGET_SECONDS,
        memory_bytes: int | None = None,
        alone_bytes: int = LARGEST_WORKER_BYTES,
        previews: Previews | None = None,
    ) -> None:
        self._workers = workers
        self._previews = previews
        self._budget_seconds = budget_seconds
        self._memory_bytes = memory_of_each(workers) if memory_bytes is None else memory_bytes
        self._alone_bytes = max(alone_bytes, self._memory_bytes)
        self._started = 0
        self._pool: _GrowingPool | None = None

    @property
    def at_once(self) -> int:
        """Photos that are measured at the same time, once so many workers have started."""
        return self._workers

    def expect(self, photos: int) -> None:
        """Have workers for `photos` that wait, from the next that is handed in; once started they stay."""
        wanted = min(self._workers, -(-photos // PHOTOS_WORTH_A_WORKER))
        if wanted <= self._started:
            return
        self._started = wanted
        if self._pool is not None:
            self._pool.grow(wanted)

    def identify(self, path: Path, alone: bool = False) -> Future[Frame]:
        """Tell in a worker which frame `path` is."""
        return self._schedule(identify, path, alone)

    def examine(self, frame: Frame, alone: bool = False, plug_ins: bool = True) -> Future[Examined]:
        """Measure `frame` in a worker, by the measures of `plug_ins` as well."""
        task = partial(examine if plug_ins else examine_built_in, previews=self._previews)
        return self._schedule(task, frame, alone)

    def measure(self, path: Path, plug_ins: bool = True) -> Future[Examined]:
        """Identify and measure the file at `path` in a worker, in one go."""
        task = partial(measure, previews=self._previews, plug_ins=plug_ins)
        return self._schedule(task, path, alone=False)

    def draw(self, photo: ToDraw, previews: Previews) -> Future[EyelineError | None]:
        """Draw in a worker the small versions of a photo that was measured before, and keep them."""
        return self._schedule(partial(draw, previews=previews), photo, alone=False)

    def measure_again(self, path: Path, every: bool) -> Future[Mapping[str, Measurement]]:
        """Measure a delivered file in a worker, by `every` measure or by those that were promised."""
        return self._schedule(partial(measure_again, every=every), path, alone=False)

    def sketch(self, photo: ToDraw) -> Future[Mapping[Kind, bytes]]:
        """Draw in a worker the small versions of a photo that was measured before."""
        return self._schedule(sketch, photo, alone=False)

    def do(
        self, task: Callable[[Argument], Result], argument: Argument, alone: bool = False
    ) -> Future[Result]:
        """Do `task`, a function of a module, in a worker, within the bounds of a photo."""
        return self._schedule(task, argument, alone)

    def let_go(self) -> None:
        """Do nothing: whatever was handed in is in hand soon, or has cost a worker its life."""

    def close(self) -> None:
        """End all workers; what is in flight is dropped (nothing of it has been written)."""
        if self._pool is not None:
            self._pool.stop()  # type: ignore[no-untyped-call]
            self._pool.join()
            self._pool = None

    def _new_pool(self) -> _GrowingPool:
        os.environ.update(ONE_THREAD)  # for the workers, which inherit it
        # "spawn": the parent runs threads, and a forked copy of a threaded process can deadlock.
        return _GrowingPool(
            max_workers=max(1, self._started),
            max_tasks=PHOTOS_PER_WORKER,
            initializer=_start_worker,
            initargs=(self._alone_bytes,),
            context=multiprocessing.get_context("spawn"),
        )

    def _schedule(
        self, task: Callable[[Argument], Result], argument: Argument, alone: bool
    ) -> Future[Result]:
        memory_bytes = self._alone_bytes if alone else self._memory_bytes
        try:
            return self._given_to_the_pool(task, argument, memory_bytes)
        except (RuntimeError, OSError):  # the pool is broken, or does not come about
            self.close()
        try:
            return self._given_to_the_pool(task, argument, memory_bytes)
        except (RuntimeError, OSError) as error:
            lost: Future[Result] = Future()
            lost.set_exception(
                WorkerLost(f"no worker starts ({error.__cause__ or error})", cure=NO_WORKER_CURE)
            )
            return lost

    def _given_to_the_pool(
        self, task: Callable[[Argument], Result], argument: Argument, memory_bytes: int
    ) -> Future[Result]:
        if self._pool is None:
            self._pool = self._new_pool()
        # The pool's own threads, which its first photo starts, inherit this for good, and from them every
        # worker: Ctrl-C would otherwise meet one that is still importing. The resource tracker goes first: a
        # worker that started it would let SIGINT through again.
        resource_tracker.ensure_running()
        with interrupts_held():
            return self._pool.schedule(
                _work, args=(task, argument, memory_bytes), timeout=self._budget_seconds
            )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def outcome(path: Path, future: Future[Result]) -> Result | EyelineError:
    """What became of a photo: the worker's answer, or the error that tells what to do."""
    try:
        return future.result()
    except UnreadablePhoto as error:
        return error
    except TimeoutError:
        return WorkerLost(
            "measuring it took too long and was stopped", path, "Look whether it opens elsewhere"
        )
    except ProcessExpired as error:
        if error.exitcode == OUT_OF_MEMORY:
            return WorkerLost("measuring it needed too much memory", path, "Save it smaller")
        if error.exitcode == -signal.SIGKILL:
            return WorkerLost(
                "the worker that measured it was killed from outside, as systems do that run out of memory",
                path,
                "Look how much memory is free, or set fewer workers",
            )
        return WorkerLost(
            f"the worker that measured it died (exit code {error.exitcode})",
            path,
            "Look whether it opens elsewhere",
        )
    except BrokenProcessPool:
        return WorkerLost("the workers died while it waited for one", path, "Look how much memory is free")
    except EyelineError as error:
        return error
    except Exception as error:  # a bug in reading or measuring: named, and the others go on
        return UnreadablePhoto(
            f"measuring it failed ({type(error).__name__}: {error})",
            path,
            "Please report this with the photo",
        )
