"""Files on their way in: identified, measured unless known already, handed to the decider, one by one.

A file that nothing speaks for being known is identified and measured in one task, which costs less than two.

Everything here runs in one thread. Workers answer through a queue, so nothing is shared with them.
"""

from __future__ import annotations

import queue
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from eyeline.errors import EyelineError, LedgerFailed, UnreadablePhoto, WorkerLost
from eyeline.intake.status import status_of
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.terms.file_status import FileStatus
from eyeline.terms.frame import Frame
from eyeline.workers.engine import Engine, LetGo
from eyeline.workers.examine import Examined
from eyeline.workers.pool import outcome
from eyeline.workers.waiting import Waiting

CLAIM = timedelta(minutes=10)
"""How long a photo stays claimed by this process: far longer than measuring may take."""

AHEAD_OF_WORKERS = 2
"""Photos given out per worker: one in hand and one waiting, so that none idles, few are lost at a stop, and
whoever comes with a new card is behind no more than these."""


MOST_LOST_TO_PLUG_INS = 3
"""Photos that had to be measured again without the measures of plug-ins, after which those are left out of
all: one that hangs would hold a worker over every photo."""


@dataclass(frozen=True, slots=True)
class Answer:
    """A worker's answer about `path`: which frame it is, or what was measured in it."""

    path: Path
    future: Future[Any]


class Ingest:
    """Moves files from "it has arrived" to "it is measured".

    `measured(photo)` is called for each photo that is measured (or known already); `failed(path, error)`
    for each that could not be; `examined` hears what workers measured, before that is kept. `answers` is
    where workers' answers lie until `receive` takes them. A file waits while it is not `reachable`. Photos go
    out folder by folder as they came, or with `newest_first` those of the newest sitting first.

    Where the ledger cannot be written, `take` and `receive` raise LedgerFailed and have done nothing: the
    same call again goes on from there.
    """

    def __init__(
        self,
        engine: Engine,
        ledger: Ledger,
        measured: Callable[[Photo], None],
        failed: Callable[[Path, EyelineError], None],
        answers: queue.SimpleQueue[Any],
        reachable: Callable[[Path], bool] = lambda _: True,
        examined: Callable[[Examined], None] = lambda _: None,
        newest_first: bool = False,
    ) -> None:
        self._engine = engine
        self._ledger = ledger
        self._measured = measured
        self._failed = failed
        self._answers = answers
        self._reachable = reachable
        self._heard = examined
        self._newest_first = newest_first
        self._waiting = Waiting()
        self._statuses: dict[Path, FileStatus] = {}
        self._frames: dict[Path, Frame] = {}
        self._lost_once: deque[Path] = deque()
        self._alone: set[Path] = set()
        self._measuring: set[Path] = set()
        self._lost_measuring: set[Path] = set()
        self._given_out = 0
        self._lost_to_plug_ins = 0

    def __len__(self) -> int:
        """Photos that are waiting or in hand."""
        return len(self._statuses)

    def take(self, path: Path, status: FileStatus) -> bool:
        """Take a file in. False when it is unchanged since it was measured, or in hand already."""
        if path in self._statuses:
            return False
        now = datetime.now(UTC)
        with self._ledger.transaction(durable=False):
            self._ledger.files.remember(path, status, now)
            if not self._ledger.files.claim(path, now, CLAIM):
                return False
        self._statuses[path] = status
        self._wait(path)
        self._give_out()
        return True

    def receive(self, answer: Answer) -> None:
        """Deal with one worker's answer."""
        path = answer.path
        result = outcome(path, answer.future)
        if isinstance(result, Frame):
            self._identified(path, result)
        elif isinstance(result, Examined):
            self._lost_to_plug_ins += path in self._lost_measuring
            self._examined(path, result)
        elif isinstance(result, LetGo):
            self._forget(path)
        elif isinstance(result, WorkerLost) and not self._reachable(path):
            self._alone.discard(path)
            self._wait(path)
        elif isinstance(result, WorkerLost) and path not in self._alone:
            self._lost_once.append(path)
            if path in self._frames or path in self._measuring:
                self._lost_measuring.add(path)
        else:
            self._drop(path, result)
        self._given_out -= 1
        self._give_out()

    def give_up(self, answer: Answer) -> None:
        """Leave what the worker found unheard; the file stays in the ledger as arrived."""
        self._forget(answer.path)
        self._given_out -= 1

    def go_on(self) -> None:
        """Give out what had to wait for its folder, if that answers again."""
        self._give_out()

    def let_go(self) -> None:
        """Keep what workers have in hand; the rest stays in the ledger as arrived, for the next start."""
        for path in (*self._waiting, *self._lost_once):
            self._forget(path)
        self._waiting.clear()
        self._lost_once.clear()
        self._engine.let_go()

    def _wait(self, path: Path) -> None:
        self._waiting.add(path, self._statuses[path].mtime_ns if self._newest_first else 0)

    def _identified(self, path: Path, frame: Frame) -> None:
        known = self._ledger.photos.of(frame)
        if known is not None and known.measures_edition == MEASURES_EDITION:
            self._keep(path, known)
            return
        self._frames[path] = frame
        self._submit(path)

    def _examined(self, path: Path, examined: Examined) -> None:
        self._heard(examined)
        self._keep(
            path,
            Photo(
                frame=examined.frame,
                measurements=tuple(examined.measurements.values()),
                points=examined.points,
                why_sitter=examined.why_sitter,
                milliseconds=examined.milliseconds,
                measured_at=datetime.now(UTC),
                measures_edition=MEASURES_EDITION,
            ),
        )

    def _keep(self, path: Path, photo: Photo) -> None:
        status = self._statuses[path]
        if status_of(path) != status:
            self._drop(
                path, UnreadablePhoto("it changed while it was being read", path, "It will be read again")
            )
            return
        with self._ledger.transaction(durable=False):
            self._ledger.photos.record(photo)
            self._ledger.files.measured(
                path, status, photo.frame.digest, photo.frame.orientation, datetime.now(UTC)
            )
        self._forget(path)
        self._measured(photo)

    def _drop(self, path: Path, error: EyelineError) -> None:
        self._failed(path, error)
        self._forget(path)

    def _forget(self, path: Path) -> None:
        self._statuses.pop(path, None)
        self._frames.pop(path, None)
        self._alone.discard(path)
        self._measuring.discard(path)
        self._lost_measuring.discard(path)

    def _most_at_once(self) -> int:
        """Photos given out at a time. Who waits at the camera waits for them: few are enough."""
        at_once = self._engine.at_once
        return at_once + max(1, at_once // 4) if self._newest_first else at_once * AHEAD_OF_WORKERS

    def _give_out(self) -> None:
        self._engine.expect(len(self))
        while self._given_out < self._most_at_once() and not self._alone:
            path = self._waiting.next(self._reachable)
            if path is None:
                break
            self._submit(path)
        # A photo that cost a worker its life gets one more try, with nothing else in hand, more memory, and
        # without the measures of plug-ins.
        if self._lost_once and self._given_out == 0 and self._reachable(self._lost_once[0]):
            path = self._lost_once.popleft()
            self._alone.add(path)
            self._submit(path)

    def _submit(self, path: Path) -> None:
        frame = self._frames.get(path)
        alone = path in self._alone
        plug_ins = not alone and self._lost_to_plug_ins < MOST_LOST_TO_PLUG_INS
        future: Future[Any]
        if frame is not None:
            future = self._engine.examine(frame, alone, plug_ins)
        elif alone or self._may_be_known(path):
            future = self._engine.identify(path, alone)
        else:
            future = self._engine.measure(path, plug_ins)
            self._measuring.add(path)
        self._given_out += 1
        future.add_done_callback(lambda done: self._answers.put(Answer(path, done)))

    def _may_be_known(self, path: Path) -> bool:
        """Whether it is worth a task of its own to learn first which frame `path` is."""
        try:
            return self._ledger.files.may_be_measured(path, self._statuses[path].size)
        except LedgerFailed:  # told when the answer cannot be kept; what was given out stays given out
            return True
