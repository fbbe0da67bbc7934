"""A loop as the daemon's around the parts of the room, for tests that need all of them at work."""

from __future__ import annotations

import hashlib
import queue
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.events import Events, Kind
from eyeline.intake.settle import Settling, State
from eyeline.intake.status import status_of
from eyeline.terms.file_status import FileStatus

QUIET_S = 0.6
HASTY_S = 0.4
SCAN_S = 0.3
PATIENCE_S = 600.0
"""By the desk's clock."""

STEP_S = 0.05
"""Between two looks for events, by the desk's clock: as long as the pause of a writer."""

EVENTS_S = 0.01
"""Time for events to come through, of the real one, at each step of the desk's clock."""


class SharedClock:
    """A clock that goes on only while all who go by it sleep: whoever the machine holds up holds up the
    time, and a pause of a writer is never longer than it is meant to be."""

    def __init__(self) -> None:
        self._turn = threading.Condition()
        self._now_s = 0.0
        self._awake = 0
        self._wakes_s: list[float] = []

    def now_s(self) -> float:
        return self._now_s

    @contextmanager
    def gone_by(self) -> Iterator[None]:
        """Within it the thread goes by this clock."""
        with self._turn:
            self._awake += 1
        try:
            yield
        finally:
            with self._turn:
                self._awake -= 1
                self._go_on()

    def sleep(self, seconds: float) -> None:
        with self._turn:
            wake_s = self._now_s + seconds
            self._wakes_s.append(wake_s)
            self._awake -= 1
            self._go_on()
            self._turn.wait_for(lambda: self._now_s >= wake_s and wake_s not in self._wakes_s)

    def _go_on(self) -> None:
        """Where nobody is awake, wake who wanted to be woken first."""
        if self._awake or not self._wakes_s:
            return
        self._now_s = min(self._wakes_s)
        due = [each for each in self._wakes_s if each <= self._now_s]
        self._wakes_s = [each for each in self._wakes_s if each > self._now_s]
        self._awake = len(due)
        self._turn.notify_all()


class Desk:
    """Events and scans wake it; `handed` notes path and SHA-256 of what it was handed, in order. Its time,
    and that of the writers, is `clock`'s."""

    def __init__(self, folder: Path, events: bool, whole: Callable[[bytes], bool] = lambda _: True) -> None:
        self.clock = SharedClock()
        self.folder = folder
        self.whole = whole
        self.settling = Settling(QUIET_S, HASTY_S)
        self.happened: queue.Queue[tuple[Path, Kind]] = queue.Queue()
        self.handed: list[tuple[Path, str]] = []
        self.known: dict[Path, FileStatus] = {}
        self.events = Events([folder], lambda path, kind: self.happened.put((path, kind))) if events else None
        if self.events is not None:
            assert self.events.start() == ()

    def scan(self) -> None:
        for found in catch_up([self.folder]):
            assert isinstance(found, Candidate)
            if self.known.get(found.path) != found.status:
                self.settling.expect(found.path, self.clock.now_s())

    def take(self, path: Path, status: FileStatus) -> None:
        if self.known.get(path) == status:  # a late event; the daemon's ledger knows as much
            self.settling.done(path)
            return
        content = path.read_bytes()
        if self.whole(content):
            self.handed.append((path, hashlib.sha256(content).hexdigest()))
            self.known[path] = status
            self.settling.done(path)
        else:
            assert self.settling.not_whole(path, self.clock.now_s())

    def until_at_rest(self, *writers: Callable[[], object]) -> None:
        """Have `writers` write at the same time, each in a thread of its own; run until they have ended and
        nothing is waited for, then one scan more."""
        begin = threading.Barrier(len(writers) + 1)

        written: list[Callable[[], object]] = []

        def write(writer: Callable[[], object]) -> None:
            with self.clock.gone_by():
                begin.wait()
                writer()
                written.append(writer)

        threads = [threading.Thread(target=write, args=(writer,)) for writer in writers]
        for thread in threads:
            thread.start()
        with self.clock.gone_by():
            begin.wait()
            self._run(threads)
        assert len(written) == len(writers), "a writer failed"

    def _run(self, writers: list[threading.Thread]) -> None:
        end_s, next_scan_s = self.clock.now_s() + PATIENCE_S, 0.0
        while True:
            now_s = self.clock.now_s()
            assert now_s < end_s, "the desk does not come to rest"
            if now_s >= next_scan_s:
                at_rest = not any(writer.is_alive() for writer in writers)
                self.scan()
                next_scan_s = self.clock.now_s() + SCAN_S
                if at_rest and not len(self.settling) and self.happened.empty():
                    return
            for path in self.settling.due(now_s):
                answer = self.settling.look(path, status_of(path), now_s)
                if answer.state is State.ARRIVED and answer.status is not None:
                    self.take(path, answer.status)
            if self._take_up_events():
                continue
            wake_s = min(self.settling.next_look_s() or end_s, next_scan_s)
            self.clock.sleep(max(0.0, min(wake_s - self.clock.now_s(), STEP_S)))

    def _take_up_events(self) -> bool:
        """Whether there were any. All that lies there: a flood would otherwise be taken one a turn."""
        if self.events is not None and self.happened.empty():
            time.sleep(EVENTS_S)
        if self.happened.empty():
            return False
        while not self.happened.empty():
            path, kind = self.happened.get()
            self.settling.notice(path, self.clock.now_s(), closed=kind is Kind.CLOSED)
        return True

    def stop(self) -> None:
        if self.events is not None:
            self.events.stop()
