"""The daemon: one thread that acts on what events, clock and workers put into its mailbox."""

from __future__ import annotations

import queue
import signal
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path

from apscheduler.schedulers.background import BackgroundScheduler

from eyeline.errors import ExifToolFailed, EyelineError, LedgerFailed, UnreadablePhoto
from eyeline.intake.catch_up import catch_up
from eyeline.intake.events import Events, Kind
from eyeline.intake.look import look_at
from eyeline.intake.problem import Problem as IntakeProblem
from eyeline.intake.settle import Settling, State
from eyeline.ledger.records import Decision, Photo
from eyeline.ledger.records import State as FileState
from eyeline.run.backups import back_up, is_due
from eyeline.run.ingest import Answer, Ingest, stamp
from eyeline.run.readiness import ALIVE, READY, STOPPING, tell_service_manager
from eyeline.run.rules import rule_files, stamp_of
from eyeline.run.studio import Studio, rules_in_force

CATCH_UP_SECONDS = 300
"""Between two scans of the watched trees: what events missed (network folders send none) waits no longer."""

SETTLE_SECONDS = 0.5
"""Between two looks at files under way: a quarter of the usual quiet time."""

RULES_SECONDS = 2
"""Between two looks at the rule files, so that a saved change acts while its author still looks."""

UPKEEP_HOURS = 6
"""Between two tidyings of the ledger."""

BACKUP_HOURS = 1
"""Between two looks whether a backup is due (`backups.EVERY`), so that one missed over night is made up."""


class Tick(Enum):
    """What the clock asks for."""

    SETTLE = "look at files under way"
    CATCH_UP = "scan the watched trees"
    RULES = "see whether rule files changed"
    RELOAD = "read the rules again"
    UPKEEP = "tidy the ledger"
    BACKUP = "back the ledger up, if that is due"
    STOP = "take no more, finish what is in hand"


@dataclass(frozen=True, slots=True)
class Noticed:
    """An event says that something happened to `path`."""

    path: Path
    kind: Kind


@dataclass(slots=True)
class Daemon:
    """Watches `paths` until it is told to stop.

    `decided` and `measured` are called for each photo, `wrote` for each folder when its sitting has been
    quiet and all of it is decided, `idle` whenever the mailbox is empty.
    """

    studio: Studio
    paths: Sequence[Path]
    decided: Callable[[Photo, Decision], None]
    measured: Callable[[Photo], None]
    idle: Callable[[], None] = lambda: None
    wrote: Callable[[Path], None] = lambda _: None
    _events: Events = field(init=False)
    _settling: Settling = field(init=False)
    _ingest: Ingest = field(init=False)
    _unwritten: dict[Path, tuple[float, float]] = field(init=False, default_factory=dict)
    _told: set[IntakeProblem] = field(init=False, default_factory=set)
    _stopping: bool = field(init=False, default=False)

    def __post_init__(self) -> None:
        self._settling = Settling(self.studio.configuration.quiet_seconds)
        self._ingest = self.studio.ingest(self._measured, self._failed)

    def run(self) -> None:
        """Watch, until a STOP lies in the mailbox; then finish what is in hand and return."""
        mailbox = self.studio.answers
        self._events = Events(self.paths, lambda path, kind: mailbox.put(Noticed(path, kind)))
        with _scheduled(mailbox):
            self._events.start()
            try:
                mailbox.put(Tick.CATCH_UP)
                mailbox.put(Tick.BACKUP)
                tell_service_manager(READY)
                while not (self._stopping and not len(self._ingest)):
                    self._act_on(mailbox.get())
                    tell_service_manager(ALIVE)
                    self._write_what_is_quiet()
                    if mailbox.empty():
                        self.idle()
            finally:
                tell_service_manager(STOPPING)
                self._events.stop()
        self._write(list(self._unwritten))

    def stop(self) -> None:
        """Ask for a stop; may be called from a signal handler or another thread."""
        self.studio.answers.put(Tick.STOP)

    def reload(self) -> None:
        """Ask for the rules to be read again; may be called from a signal handler."""
        self.studio.answers.put(Tick.RELOAD)

    @property
    def is_busy(self) -> bool:
        """Whether anything is under way or waits to be written."""
        return bool(len(self._settling) or len(self._ingest) or self._unwritten)

    def _act_on(self, message: object) -> None:
        match message:
            case Answer():
                self._ingest.receive(message)
            case Noticed(path=path, kind=kind):
                if not self._stopping:
                    self._settling.notice(path, time.monotonic(), closed=kind is Kind.CLOSED)
            case Tick.SETTLE:
                self._settle()
            case Tick.CATCH_UP:
                self._catch_up()
            case Tick.RULES:
                if stamp_of(rule_files(self.studio.configuration)) != self.studio.desk.rules.stamp:
                    self._reload()
            case Tick.RELOAD:
                self._reload()
            case Tick.UPKEEP:
                self.studio.ledger.upkeep(datetime.now(UTC))
            case Tick.BACKUP:
                self._back_up()
            case Tick.STOP:
                self._stopping = True

    def _back_up(self) -> None:
        now = datetime.now(UTC)
        try:
            if is_due(self.studio.ledger.path, now):
                back_up(self.studio.ledger, now)
        except (EyelineError, OSError) as error:  # a full backup disk must not stop the work
            self.studio.desk.problem(
                error if isinstance(error, EyelineError) else LedgerFailed(f"no backup was made: {error}")
            )

    def _catch_up(self) -> None:
        told: set[IntakeProblem] = set(self._events.renew())
        for found in catch_up(self.paths):
            if isinstance(found, IntakeProblem):
                told.add(found)
                continue
            known = self.studio.ledger.files.known(found.path)
            if known is None or known.stamp != stamp(found.look) or known.state is FileState.ARRIVED:
                self._settling.expect(found.path, time.monotonic())
            elif known.state is FileState.MEASURED:  # a stop came before it was written
                self._unwritten.setdefault(found.path.parent, (time.monotonic(), time.monotonic()))
        for problem in told - self._told:
            self.studio.desk.problem(EyelineError(problem.what, problem.path, problem.cure))
        self._told = told

    def _settle(self) -> None:
        now = time.monotonic()
        for path in self._settling.due(now):
            answer = self._settling.look(path, look_at(path), now)
            if answer.state is State.ARRIVED and answer.look is not None and not self._stopping:
                if not self._ingest.take(path, answer.look):
                    self._settling.done(path)
            elif answer.state is State.FAILED:
                self.studio.desk.problem(UnreadablePhoto(answer.why, path, "Copy it from the card again"))

    def _measured(self, photo: Photo) -> None:
        self._settling.done(photo.frame.path)
        folder = photo.frame.path.parent
        now = time.monotonic()
        first, _ = self._unwritten.get(folder, (now, now))
        self._unwritten[folder] = (first, now)
        self.measured(photo)

    def _failed(self, path: Path, error: EyelineError) -> None:
        if isinstance(error, UnreadablePhoto) and self._settling.not_whole(path, time.monotonic()):
            self.studio.ledger.files.again(path, datetime.now(UTC))
            return
        self._settling.done(path)
        self.studio.ledger.files.set_aside(path, str(error), datetime.now(UTC))
        self.studio.desk.problem(error)

    def _write_what_is_quiet(self) -> None:
        now = time.monotonic()
        configuration = self.studio.configuration
        self._write(
            [
                folder
                for folder, (first, last) in self._unwritten.items()
                if now - last >= configuration.sitting_quiet_seconds
                or now - first >= configuration.longest_unwritten_seconds
            ]
        )

    def _write(self, folders: Sequence[Path]) -> None:
        for folder in folders:
            self._unwritten.pop(folder, None)
            photos = [
                photo
                for photo in self.studio.ledger.photos.under(folder)
                if photo.frame.path.parent == folder and photo.frame.path.exists()
            ]
            try:
                for photo, decision in self.studio.desk.decide(photos, only_new=True):
                    self.decided(photo, decision)
                    tell_service_manager(ALIVE)
            except ExifToolFailed as error:  # the next scan of the trees finds what is not written yet
                self.studio.desk.problem(error)
                continue
            self.wrote(folder)

    def _reload(self) -> None:
        try:
            rules, _ = rules_in_force(self.studio.configuration)
        except EyelineError as error:
            self.studio.desk.problem(error)
            return
        self.studio.desk = replace(self.studio.desk, rules=rules)
        for mistake in rules.mistakes:
            self.studio.desk.problem(EyelineError(str(mistake), cure="The rest of the rules are in force"))


@contextmanager
def _scheduled(mailbox: queue.SimpleQueue[object]) -> Iterator[None]:
    """Put what is periodic into the mailbox; the scheduler's own thread does nothing else."""
    scheduler = BackgroundScheduler(timezone=UTC)
    for tick, interval in (
        (Tick.SETTLE, {"seconds": SETTLE_SECONDS}),
        (Tick.CATCH_UP, {"seconds": CATCH_UP_SECONDS}),
        (Tick.RULES, {"seconds": RULES_SECONDS}),
        (Tick.UPKEEP, {"hours": UPKEEP_HOURS}),
        (Tick.BACKUP, {"hours": BACKUP_HOURS}),
    ):
        scheduler.add_job(mailbox.put, "interval", args=(tick,), coalesce=True, max_instances=1, **interval)
    scheduler.start()
    try:
        yield
    finally:
        scheduler.shutdown(wait=False)


def listen_to_signals(daemon: Daemon) -> None:
    """SIGINT and SIGTERM stop the daemon cleanly, a second one at once; SIGHUP reads the rules again."""

    def stop(number: int, _: object) -> None:
        signal.signal(number, signal.default_int_handler)
        daemon.stop()

    signal.signal(signal.SIGINT, stop)
    signal.signal(signal.SIGTERM, stop)
    signal.signal(signal.SIGHUP, lambda *_: daemon.reload())
