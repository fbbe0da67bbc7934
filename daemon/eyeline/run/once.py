"""One pass over files and folders: each shoot is measured, and judged and written as soon as it is complete.

The caller's thread finds photos and receives what workers have measured; a second judges, one shoot after the
other; a third writes what follows, in the same order, and is the only one that writes sidecars. So the next
shoot is judged while ExifTool and the disk have the writer wait.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from threading import Event

from eyeline.deciding.same_exposure import ToWrite
from eyeline.deciding.settle import Left, SettledShoots, Snapshot
from eyeline.deciding.shoot import Shoot, shoots
from eyeline.errors import EyelineError, UnreadablePhoto
from eyeline.intake.catch_up import catch_up
from eyeline.intake.obstacle import Obstacle
from eyeline.ledger.records import Decision, Outcome, Photo, State, Summary
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.run.session import Session
from eyeline.terms.file_status import FileStatus
from eyeline.workers.ingest import Answer, Ingest

MOST_WAITING = 2_000
"""Photos that wait to be measured before more folders are walked through: some minutes' work."""

MOST_UNDECIDED = 4
"""Shoots that wait to be decided before more photos are given out: what a pass holds in memory is bounded."""


@dataclass(frozen=True, slots=True)
class Listener:
    """Hears how far a pass is: of so many photos found more, each one that is measured, each decision.

    `unchanged`: hears of shoots in which nothing has changed since all was written; where it is None every
    photo is judged again.
    """

    found: Callable[[int], None]
    measured: Callable[[Path], None]
    decided: Callable[[Photo, Decision], None]
    unchanged: Callable[[Shoot, Summary], None] | None = None


def run_once(session: Session, paths: Sequence[Path], listener: Listener) -> int:
    """Measure what is new under `paths` or was measured by another version, judge everything there, write
    what follows.

    Returns how many photos could not be read, or what follows not be written; each is in the ledger and was
    reported. Raises LedgerFailed, ExifToolFailed.
    """
    with ThreadPoolExecutor(1, "judge") as judge, ThreadPoolExecutor(1, "writer") as writer:
        one_pass = _Pass(session, listener, judge, writer)
        try:
            for each in shoots(catch_up(paths), paths):
                if isinstance(each, Obstacle):
                    one_pass.failures += 1
                    session.decider.problem(EyelineError(each.what, each.path, each.cure))
                else:
                    one_pass.take(each)
            one_pass.finish()
        finally:
            one_pass.stopping.set()
            judge.shutdown(cancel_futures=True)
            writer.shutdown(cancel_futures=True)
    return one_pass.failures


@dataclass(frozen=True, slots=True)
class _Decided:
    photo: Photo
    decision: Decision


@dataclass(frozen=True, slots=True)
class _Done:
    """A shoot is judged and written, or failed."""

    error: BaseException | None


@dataclass(slots=True)
class _Pass:
    """What a pass has under way. `unmeasured`: how many photos of each shoot are being measured."""

    session: Session
    listener: Listener
    judge: ThreadPoolExecutor
    writer: ThreadPoolExecutor
    failures: int = 0
    stopping: Event = field(default_factory=Event)
    settled: SettledShoots = field(init=False)
    ingest: Ingest = field(init=False)
    unmeasured: dict[Shoot, int] = field(default_factory=dict)
    shoot_of: dict[Path, Shoot] = field(default_factory=dict)
    undecided: int = 0

    def __post_init__(self) -> None:
        self.settled = SettledShoots(self.session.decider)
        self.ingest = self.session.ingest(self._measured, self._failed)

    def take(self, shoot: Shoot) -> None:
        """Take in a shoot; returns when there is room for another."""
        self.listener.found(len(shoot.photos))
        if self.listener.unchanged is not None and (summary := self.settled.unchanged(shoot)) is not None:
            self.listener.unchanged(shoot, summary)
            return
        to_measure = self._to_measure(shoot)
        for path in shoot.photos.keys() - to_measure.keys():
            self.listener.measured(path)
        if to_measure:
            self.unmeasured[shoot] = len(to_measure)
        self.shoot_of.update(dict.fromkeys(to_measure, shoot))
        for path, status in to_measure.items():
            if not self.ingest.take(path, status):
                self._done_with(path)
        if not to_measure:
            self._decide(shoot)
        while len(self.ingest) >= MOST_WAITING or self.undecided >= MOST_UNDECIDED:
            self._receive()

    def finish(self) -> None:
        """Wait until all is measured and decided."""
        while len(self.ingest) or self.undecided:
            self._receive()

    def _to_measure(self, shoot: Shoot) -> Mapping[Path, FileStatus]:
        """The photos that are new or changed, were not readable, or have measures of another edition."""
        files, photos = self.session.ledger.files, self.session.ledger.photos
        known = {row.path: row for folder in shoot.folders for row in files.in_folder(folder)}
        editions: dict[Path, int] = {}
        for folder in shoot.folders:
            editions |= photos.editions_in(folder)
        found = {}
        for path, status in shoot.photos.items():
            row = known.get(path)
            if row is not None:
                if row.state in (State.SET_ASIDE, State.POSTPONED) or (
                    editions.get(path, MEASURES_EDITION) != MEASURES_EDITION
                ):
                    files.again(path, datetime.now(UTC))
                elif row.state is not State.ARRIVED and row.status == status:
                    continue
            found[path] = status
        return found

    def _receive(self) -> None:
        message = self.session.answers.get()
        match message:
            case Answer():
                self.ingest.receive(message)
            case _Decided(photo=photo, decision=decision):
                self.failures += decision.outcome is Outcome.REFUSED
                self.listener.decided(photo, decision)
            case _Done(error=error):
                self.undecided -= 1
                if error is not None:
                    raise error

    def _measured(self, photo: Photo) -> None:
        self._done_with(photo.frame.path)

    def _failed(self, path: Path, error: EyelineError) -> None:
        self.failures += 1
        self.session.ledger.files.set_aside(path, str(error), datetime.now(UTC))
        self.session.decider.problem(
            error if error.file is not None else UnreadablePhoto(error.what, path, error.cure)
        )
        self._done_with(path)

    def _done_with(self, path: Path) -> None:
        """A photo is measured, or cannot be; with the last one of a shoot its turn has come."""
        self.listener.measured(path)
        shoot = self.shoot_of.pop(path)
        self.unmeasured[shoot] -= 1
        if not self.unmeasured[shoot]:
            del self.unmeasured[shoot]
            self._decide(shoot)

    def _decide(self, shoot: Shoot) -> None:
        self.undecided += 1
        self.judge.submit(self._judge, shoot)

    def _judge(self, shoot: Shoot) -> None:
        """In the judge's thread: judge one shoot and hand it to the writer."""
        ledger = self.session.ledger
        try:
            before = self.settled.snapshot(shoot)
            measured = {
                photo.frame.path: photo
                for folder in shoot.folders
                for photo in ledger.photos.in_folder(folder)
            }
            photos = [measured[path] for path in shoot.photos if path in measured]
            judged = [*self.session.decider.judged(photos)]
        except BaseException as error:  # raised in the thread that waits for it
            self.session.answers.put(_Done(error))
        else:
            self.writer.submit(self._write, shoot, before, photos, judged)

    def _write(
        self, shoot: Shoot, before: Snapshot | None, photos: Sequence[Photo], judged: Sequence[ToWrite]
    ) -> None:
        """In the writer's thread: write one shoot."""
        answers = self.session.answers
        left = []
        try:
            with closing(self.session.decider.decide(photos, judged=judged)) as decisions:
                for photo, decision in decisions:
                    left.append(Left.of(decision))
                    answers.put(_Decided(photo, decision))
                    if self.stopping.is_set():
                        break
                else:
                    self.settled.settle(shoot, before, left)
        except BaseException as error:  # raised in the thread that waits for it
            answers.put(_Done(error))
        else:
            answers.put(_Done(None))
