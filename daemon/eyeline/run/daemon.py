"""The daemon: one thread that acts on what events, clock and workers put into its mailbox."""

from __future__ import annotations

import signal
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path

from eyeline.errors import ExifToolFailed, EyelineError, LedgerCorrupt, LedgerFailed, UnreadablePhoto
from eyeline.intake.catch_up import catch_up
from eyeline.intake.events import Events, Kind
from eyeline.intake.look import look_at
from eyeline.intake.problem import Problem as IntakeProblem
from eyeline.intake.roots import root_of
from eyeline.intake.settle import Settling, State
from eyeline.ledger.records import Decision, KnownFile, Photo, Problem
from eyeline.ledger.records import State as FileState
from eyeline.run.backups import back_up, is_due
from eyeline.run.folder_files import FolderFiles
from eyeline.run.reachable import Reachable
from eyeline.run.readiness import ALIVE, READY, STOPPING, tell_service_manager
from eyeline.run.session import Session
from eyeline.run.ticks import Tick, scheduled
from eyeline.settings.folder_file import FILE_NAME
from eyeline.settings.rules import rule_files, rules_in_force, stamp_of
from eyeline.workers.ingest import Answer, Ingest, stamp

MOST_AGAIN = 1000
"""Files that are tried again at a time; the others follow."""

NO_ANSWER = "this folder does not answer"
NO_ANSWER_CURE = "Is its server on? Everything else goes on; its photos follow when it answers again"


@dataclass(frozen=True, slots=True)
class Noticed:
    """An event says that something happened to `path`."""

    path: Path
    kind: Kind


@dataclass(slots=True)
class Daemon:
    """Watches the roots of the session's decider until it is told to stop.

    `decided` and `measured` are called for each photo, `wrote` for each folder when its sitting has been
    quiet and all of it is decided, `idle` whenever the mailbox is empty.

    A folder that does not answer is left alone until it does. While the ledger cannot be written no sidecar
    is written either; what workers have measured is kept in memory, and they get nothing new.
    """

    session: Session
    decided: Callable[[Photo, Decision], None]
    measured: Callable[[Photo], None]
    idle: Callable[[], None] = lambda: None
    wrote: Callable[[Path], None] = lambda _: None
    _events: dict[Path, Events] = field(init=False, default_factory=dict)
    _reachable: Reachable = field(init=False)
    _settling: Settling = field(init=False)
    _ingest: Ingest = field(init=False)
    _folder_files: FolderFiles = field(init=False)
    _unwritten: dict[Path, tuple[float, float]] = field(init=False, default_factory=dict)
    _told: set[IntakeProblem] = field(init=False, default_factory=set)
    _silent: frozenset[Path] = field(init=False, default=frozenset())
    _missed: set[Path] = field(init=False)
    _untold: LedgerFailed | None = field(init=False, default=None)
    _put_off: list[object] = field(init=False, default_factory=list)
    _stopping: bool = field(init=False, default=False)

    def __post_init__(self) -> None:
        self._reachable = Reachable(self.session.decider.roots)
        self._missed = set(self.session.decider.roots)
        self._folder_files = FolderFiles(self.session.decider.roots, self._judged_at)
        self._settling = Settling(self.session.configuration.quiet_seconds)
        self._ingest = self.session.ingest(self._measured, self._failed, self._answers)

    def run(self) -> None:
        """Watch, until a STOP lies in the mailbox; then finish what is in hand and return.

        Raises LedgerFailed where it is to stop while the ledger cannot be written: what was measured since
        is then measured again after the next start.
        """
        mailbox = self.session.answers
        with scheduled(mailbox):
            try:
                mailbox.put(Tick.SETTLE)
                mailbox.put(Tick.BACKUP)
                tell_service_manager(READY)
                while not (self._stopping and not len(self._ingest)):
                    self._take(mailbox.get())
                    tell_service_manager(ALIVE)
                    if mailbox.empty():
                        self.idle()
            finally:
                tell_service_manager(STOPPING)
                for root, events in self._events.items():
                    if self._answers(root):
                        events.stop()
        self._write(list(self._unwritten))

    def stop(self) -> None:
        """Ask for a stop; may be called from a signal handler or another thread."""
        self.session.answers.put(Tick.STOP)

    def reload(self) -> None:
        """Ask for the rules to be read again; may be called from a signal handler."""
        self.session.answers.put(Tick.RELOAD)

    @property
    def is_busy(self) -> bool:
        """Whether anything is under way or waits to be written."""
        return bool(len(self._settling) or len(self._ingest) or self._unwritten)

    def _take(self, message: object) -> None:
        """Act on a message, or keep it until the ledger can be written."""
        try:
            self._act_on(message)
            if self._untold is None:
                self._write_what_is_quiet()
        except LedgerCorrupt:
            raise  # mended at the next start
        except LedgerFailed as error:
            if isinstance(message, Answer):
                self._put_off.append(message)
            if self._untold is None:
                self._untold = error
                self.session.decider.tell_problem(Problem.of(error, datetime.now(UTC)))
        if self._untold is not None and self._stopping:
            raise self._untold

    def _act_on(self, message: object) -> None:
        match message:
            case Answer(path=path) if self._stopping and not self._answers(path):
                self._ingest.give_up(message)
            case Answer(path=path) if self._untold is not None or not self._answers(path):
                self._put_off.append(message)
            case Answer():
                self._ingest.receive(message)
            case Noticed(path=path) if path.name == FILE_NAME:
                if self._answers(path):
                    files = self.session.ledger.files.under(path.parent)
                    self._judge_where_another_file_speaks({each.path.parent for each in files})
            case Noticed(path=path, kind=kind):
                if not self._stopping:
                    self._settling.notice(path, time.monotonic(), closed=kind is Kind.CLOSED)
            case Tick.SETTLE:
                self._look_around()
                self._settle()
            case Tick.CATCH_UP:
                self._catch_up()
            case Tick.AGAIN:
                self._try_again()
            case Tick.RULES:
                if stamp_of(rule_files(self.session.configuration)) != self.session.decider.rules.stamp:
                    self._reload()
            case Tick.RELOAD:
                self._reload()
            case Tick.UPKEEP:
                self.session.ledger.upkeep(datetime.now(UTC))
            case Tick.BACKUP:
                self._back_up()
            case Tick.STOP:
                self._stopping = True
                self._ingest.let_go()

    def _answers(self, path: Path) -> bool:
        """Whether the folder that `path` lies in can be touched without waiting for it."""
        return self._reachable.answers(path)

    def _look_around(self) -> None:
        """See whether ledger and folders are as they should be, and take up what had to wait for them."""
        now = time.monotonic()
        self._reachable.renew(now)
        if self._untold is None:
            self.session.ledger.stay_in_place()
        else:
            self.session.ledger.try_writing()  # raises while it cannot be written
            self.session.decider.record(Problem.of(self._untold, datetime.now(UTC)))
            self._untold = None
            self.session.answers.put(Tick.CATCH_UP)
        silent = self._reachable.silent(now)
        for root in silent - self._silent:
            self.session.decider.problem(EyelineError(NO_ANSWER, root, NO_ANSWER_CURE))
        self._silent = silent
        self._missed |= silent
        back = {root for root in self._missed if self._answers(root)}
        if back:
            self._missed -= back
            self.session.answers.put(Tick.CATCH_UP)
        put_off, self._put_off = self._put_off, []
        for message in put_off:
            self.session.answers.put(message)
        self._ingest.go_on()

    def _back_up(self) -> None:
        now = datetime.now(UTC)
        try:
            if is_due(self.session.ledger.path, now):
                back_up(self.session.ledger, now)
        except (EyelineError, OSError) as error:  # a full backup disk must not stop the work
            self.session.decider.problem(
                error if isinstance(error, EyelineError) else LedgerFailed(f"no backup was made: {error}")
            )

    def _catch_up(self) -> None:
        there = [root for root in self.session.decider.roots if self._answers(root)]
        told = {problem for root in there for problem in self._listen(root)}
        folders: dict[Path, None] = {}
        for found in catch_up(there):
            if isinstance(found, IntakeProblem):
                told.add(found)
                continue
            folders[found.path.parent] = None
            known = self.session.ledger.files.known(found.path)
            if known is None or known.stamp != stamp(found.look) or _is_due(known):
                self._settling.expect(found.path, time.monotonic())
            elif known.state is FileState.MEASURED:  # a stop came before it was written
                self._unwritten.setdefault(found.path.parent, (time.monotonic(), time.monotonic()))
        self._judge_where_another_file_speaks(folders)
        for problem in told - self._told:
            self.session.decider.problem(EyelineError(problem.what, problem.path, problem.cure))
        self._told = told

    def _judge_where_another_file_speaks(self, folders: Iterable[Path]) -> None:
        """Have photos judged anew in those of `folders` whose `eyeline.toml` is new, changed or gone."""
        for folder in self._folder_files.changed(folders):
            self._unwritten.setdefault(folder, (time.monotonic(), time.monotonic()))

    def _judged_at(self, folder: Path) -> datetime | None:
        """When the first photo in `folder` was judged last."""
        ledger = self.session.ledger
        there = (each.path for each in ledger.files.under(folder) if each.path.parent == folder)
        path = next(there, None)
        last = ledger.decisions.latest(path) if path is not None else None
        return last.decided_at if last is not None else None

    def _listen(self, root: Path) -> tuple[IntakeProblem, ...]:
        """Have events of `root` put into the mailbox, from the first time on that it answers."""
        mailbox = self.session.answers
        if root not in self._events:
            self._events[root] = Events(
                [root], lambda path, kind: mailbox.put(Noticed(path, kind)), also=[FILE_NAME]
            )
        return self._events[root].start()

    def _try_again(self) -> None:
        now = datetime.now(UTC)
        for path in self.session.ledger.files.due(now, MOST_AGAIN):
            if root_of(path, self.session.decider.roots) is None or not self._answers(path):
                continue
            if look_at(path) is None:
                self.session.ledger.files.gone(path)
            else:
                self._settling.expect(path, time.monotonic())

    def _settle(self) -> None:
        now = time.monotonic()
        failed: LedgerFailed | None = None
        for path in self._settling.due(now):
            if failed is not None or not self._answers(path):
                self._settling.notice(path, now)
                continue
            answer = self._settling.look(path, look_at(path), now)
            try:
                if answer.state is State.ARRIVED and answer.look is not None and not self._stopping:
                    if not self._ingest.take(path, answer.look):
                        self._settling.done(path)
                elif answer.state is State.FAILED:
                    self.session.decider.problem(
                        UnreadablePhoto(answer.why, path, "Copy it from the card again")
                    )
            except LedgerFailed as error:
                failed = error
                self._settling.done(path)
                self._settling.expect(path, now)
        if failed is not None:
            raise failed

    def _measured(self, photo: Photo) -> None:
        self._settling.done(photo.frame.path)
        folder = photo.frame.path.parent
        now = time.monotonic()
        first, _ = self._unwritten.get(folder, (now, now))
        self._unwritten[folder] = (first, now)
        self.measured(photo)

    def _failed(self, path: Path, error: EyelineError) -> None:
        if isinstance(error, UnreadablePhoto) and self._settling.not_whole(path, time.monotonic()):
            self.session.ledger.files.again(path, datetime.now(UTC))
            return
        self._settling.done(path)
        self.session.ledger.files.set_aside(path, str(error), datetime.now(UTC))
        self.session.decider.problem(error)

    def _write_what_is_quiet(self) -> None:
        now = time.monotonic()
        configuration = self.session.configuration
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
            if not self._answers(folder):
                continue
            waited = self._unwritten.pop(folder)
            photos = [
                photo
                for photo in self.session.ledger.photos.under(folder)
                if photo.frame.path.parent == folder and look_at(photo.frame.path) is not None
            ]
            try:
                for photo, decision in self.session.decider.decide(photos, only_new=True):
                    self.decided(photo, decision)
                    tell_service_manager(ALIVE)
                    self._reachable.renew(time.monotonic())
                    if not self._answers(folder):
                        self._unwritten[folder] = waited
                        break
                else:
                    self.wrote(folder)
            except ExifToolFailed as error:  # the next scan of the trees finds what is not written yet
                self.session.decider.problem(error)
            except LedgerFailed:
                self._unwritten[folder] = waited
                raise

    def _reload(self) -> None:
        try:
            rules, _ = rules_in_force(self.session.configuration)
        except EyelineError as error:
            self.session.decider.problem(error)
            return
        self.session.decider = replace(self.session.decider, rules=rules)
        for mistake in rules.mistakes:
            self.session.decider.problem(
                EyelineError(str(mistake), cure="The rest of the rules are in force")
            )


def _is_due(known: KnownFile) -> bool:
    """Whether a file that has not changed is still to be measured, or to be tried again by now."""
    if known.state is FileState.POSTPONED:
        return known.not_before is None or known.not_before <= datetime.now(UTC)
    return known.state is FileState.ARRIVED


def listen_to_signals(daemon: Daemon) -> None:
    """SIGINT and SIGTERM stop the daemon cleanly, a second one at once; SIGHUP reads the rules again."""

    def stop(number: int, _: object) -> None:
        signal.signal(number, signal.default_int_handler)
        daemon.stop()

    signal.signal(signal.SIGINT, stop)
    signal.signal(signal.SIGTERM, stop)
    signal.signal(signal.SIGHUP, lambda *_: daemon.reload())
