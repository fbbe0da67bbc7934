"""A loop as the daemon's around the parts of the room, for tests that need all of them at work."""

from __future__ import annotations

import hashlib
import queue
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.events import Events, Kind
from eyeline.intake.settle import Settling, State
from eyeline.intake.status import status_of
from eyeline.terms.file_status import FileStatus

QUIET_S = 0.6
HASTY_S = 0.4
SCAN_S = 0.3
PATIENCE_S = 120.0


class Desk:
    """Events and scans wake it; `handed` notes path and SHA-256 of what it was handed, in order."""

    def __init__(self, folder: Path, events: bool, whole: Callable[[bytes], bool] = lambda _: True) -> None:
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
                self.settling.expect(found.path, time.monotonic())

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
            assert self.settling.not_whole(path, time.monotonic())

    def until_at_rest(self, writers: list[threading.Thread]) -> None:
        """Run until the writers have ended and nothing is waited for, then one scan more."""
        end_s, next_scan_s = time.monotonic() + PATIENCE_S, 0.0
        while True:
            now_s = time.monotonic()
            assert now_s < end_s, "the desk does not come to rest"
            if now_s >= next_scan_s:
                at_rest = not any(writer.is_alive() for writer in writers)
                self.scan()
                next_scan_s = time.monotonic() + SCAN_S
                if at_rest and not len(self.settling) and self.happened.empty():
                    return
            for path in self.settling.due(now_s):
                answer = self.settling.look(path, status_of(path), now_s)
                if answer.state is State.ARRIVED and answer.status is not None:
                    self.take(path, answer.status)
            wake_s = min(self.settling.next_look_s() or end_s, next_scan_s)
            with suppress(queue.Empty):
                told = self.happened.get(timeout=max(0.0, wake_s - time.monotonic()))
                while True:  # all that lies there, or a flood of events would be taken one a turn
                    path, kind = told
                    self.settling.notice(path, time.monotonic(), closed=kind is Kind.CLOSED)
                    told = self.happened.get_nowait()

    def stop(self) -> None:
        if self.events is not None:
            self.events.stop()
