"""The daemon: one thread that acts on what events, clock and workers put into its mailbox."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TypeVar

from eyeline.deciding.judge_folder import photos_in
from eyeline.errors import ExifToolFailed, EyelineError, LedgerCorrupt, LedgerFailed, UnreadablePhoto
from eyeline.intake.events import Kind
from eyeline.intake.names import photo_kind
from eyeline.ledger.records import Decision, Photo
from eyeline.run.announcements import Announcements
from eyeline.run.arrivals import Arrivals, Noticed
from eyeline.run.asked import Asked
from eyeline.run.attention import Attention
from eyeline.run.backups import back_up_if_due
from eyeline.run.folder_files import FolderFiles, judged_at
from eyeline.run.readiness import ALIVE, READY, STOPPING, tell_service_manager
from eyeline.run.session import Session
from eyeline.run.surroundings import Surroundings
from eyeline.run.ticks import SETTLE_SECONDS, Tick, scheduled
from eyeline.run.write_queue import WriteQueue
from eyeline.settings.folder_file import FILE_NAME
from eyeline.settings.rules import rule_files, stamp_of
from eyeline.settings.sitter_list import LIST_SUFFIX
from eyeline.workers.ingest import Answer, Ingest

T = TypeVar("T")

LEAST_WAIT_SECONDS = 0.02
"""Between two looks at what is due, so that what cannot be done now takes no whole processor."""

STANDS_STILL_SECONDS = 4 * SETTLE_SECONDS
"""A message comes at least every SETTLE_SECONDS. Where none comes for so long, the machine stood still, as
one does that is short of memory; of what arrived meanwhile the system tells only from now on."""

ENDS_THE_WAIT = (Kind.CLOSED, Kind.MOVED)
"""Events by which a writer tells that it has done."""


@dataclass(slots=True)
class Daemon:
    """Watches the roots of the session's decider until it is asked to stop.

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
    announcements: Announcements = field(default_factory=Announcements)
    attention: Attention = field(init=False)
    _around: Surroundings = field(init=False)
    _ingest: Ingest = field(init=False)
    _arrivals: Arrivals = field(init=False)
    _folder_files: FolderFiles = field(init=False)
    _to_write: WriteQueue = field(init=False)
    _stopping: bool = field(init=False, default=False)
    _asked: Asked = field(init=False, default_factory=Asked)

    def __post_init__(self) -> None:
        session, configuration = self.session, self.session.configuration
        roots, answers = session.decider.roots, session.answers
        self._around = Surroundings(session)
        self._ingest = session.ingest(self._measured, self._failed, self._around.answers, newest_first=True)
        quiet_s = configuration.quiet_seconds
        self._arrivals = Arrivals(session.ledger, self._ingest, quiet_s, self._around.answers, answers)
        self._folder_files = FolderFiles(roots, partial(judged_at, session.ledger))
        self.attention = Attention(session, self._judge_anew, self.announcements, self._around.answers_now)
        self._to_write = WriteQueue(
            configuration.sitting_quiet_seconds, configuration.longest_unwritten_seconds
        )

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
                    self._take(self._next_message())
                    tell_service_manager(ALIVE)
                    if mailbox.empty():
                        self.idle()
            finally:
                tell_service_manager(STOPPING)
                self._arrivals.stop()
        self._write(self._to_write.all())

    def stop(self) -> None:
        """Ask for a stop; may be called from a signal handler or another thread."""
        self.session.answers.put(Tick.STOP)

    def reload(self) -> None:
        """Ask for the rules to be read again; may be called from a signal handler."""
        self.session.answers.put(Tick.RELOAD)

    def ask(self, do: Callable[[], T]) -> Future[T]:
        """Have `do` done in the daemon's thread, the only one that writes sidecars; may be called from any.

        It is done between two photos where many are being written. What it raises, the Future holds.
        """
        answer = self._asked.put(do)
        self.session.answers.put(Tick.ASKED)
        return answer

    @property
    def is_busy(self) -> bool:
        """Whether anything is under way or waits to be written."""
        return bool(len(self._arrivals) or len(self._ingest) or len(self._to_write))

    def _next_message(self) -> object:
        """The next message. Time in which the machine stood still is no time without photos."""
        since_s = time.monotonic()
        message = self._from_mailbox()
        waited_s = time.monotonic() - since_s
        if waited_s >= STANDS_STILL_SECONDS:
            self.attention.stood_still(waited_s)
            self._to_write.stood_still(waited_s)
        return message

    def _from_mailbox(self) -> object:
        """The next message; where none comes in time, the wish to look at what is due."""
        due = [each for each in (self._arrivals.next_look_s, self.attention.next_s) if each is not None]
        if not due or self._around.outage.error is not None:
            return self.session.answers.get()
        wait_s = max(LEAST_WAIT_SECONDS, min(due) - time.monotonic())
        try:
            return self.session.answers.get(timeout=wait_s)
        except queue.Empty:
            return Tick.LOOK

    def _take(self, message: object) -> None:
        """Act on a message, or keep it until the ledger can be written."""
        try:
            self._obey(message)
            if self._around.outage.error is None:
                self.attention.turn(is_idle=not (self._arrivals.awaits_new or len(self._ingest)))
                self._write(self._to_write.due(time.monotonic()))
        except LedgerCorrupt:
            raise  # mended at the next start
        except LedgerFailed as error:
            self._around.ledger_fails(error)
        if self._around.outage.error is not None and self._stopping:
            raise self._around.outage.error

    def _obey(self, message: object) -> None:
        """Act on a message. What a worker has found is put off where the ledger fails, which is raised."""
        try:
            self._act_on(message)
        except LedgerFailed:
            if isinstance(message, Answer):
                self._around.outage.put_off(message)
            raise

    def _meanwhile(self) -> None:
        """Between two sidecars: do what was asked for, and take up what arrives: somebody waits for it."""
        self._asked.do_all()
        put_off = []
        for _ in range(self.session.answers.qsize()):
            message = self.session.answers.get()
            is_photo = isinstance(message, Noticed) and photo_kind(message.path.name) is not None
            if isinstance(message, Answer) or is_photo or message is Tick.LOOK:
                self._obey(message)
            else:
                put_off.append(message)
        for message in put_off:
            self.session.answers.put(message)
        self._settle()
        self.attention.turn(is_idle=False)

    def _act_on(self, message: object) -> None:
        match message:
            case Answer(path=path) if self._stopping and not self._around.answers(path):
                self._ingest.give_up(message)
            case Answer(path=path) if self._around.outage.error is not None or not self._around.answers(path):
                self._around.outage.put_off(message)
            case Answer():
                self._ingest.receive(message)
            case Noticed(path=path) if path.name == FILE_NAME or path.suffix == LIST_SUFFIX:
                if self._around.answers(path):
                    files = self.session.ledger.files.under(path.parent)
                    self._judge_where_another_file_speaks({each.path.parent for each in files})
            case Noticed():
                if not self._stopping:
                    self.attention.noticed(message.path)
                    self._arrivals.notice(message)
                    if message.kind in ENDS_THE_WAIT:
                        self._settle()
            case Tick.LOOK:
                self._settle()
            case Tick.SETTLE:
                self._around.look(self._arrivals.listens_elsewhere)
                self._ingest.go_on()
                self._arrivals.settle(self.session.decider, self._stopping)
            case Tick.CATCH_UP:
                self._catch_up()
            case Tick.AGAIN:
                self._arrivals.try_again(self.session.decider.roots)
            case Tick.RULES:
                if stamp_of(rule_files(self.session.configuration)) != self.session.decider.rules.stamp:
                    self.session.reload_rules()
            case Tick.RELOAD:
                self.session.reload_rules()
            case Tick.ASKED:
                self._asked.do_all()
            case Tick.ROOM:
                places = (*self.session.decider.roots, self.session.configuration.ledger.parent)
                self.attention.look_for_room(each for each in places if self._around.answers(each))
            case Tick.UPKEEP:
                self.session.ledger.upkeep(datetime.now(UTC))
            case Tick.BACKUP:
                back_up_if_due(self.session.ledger, self.session.decider.problem)
            case Tick.STOP:
                self._stopping = True
                self._ingest.let_go()

    def _catch_up(self) -> None:
        roots = [root for root in self.session.decider.roots if self._around.answers(root)]
        folders, unwritten = self._arrivals.catch_up(roots, self.session.decider)
        for folder in unwritten:
            self._to_write.expect(folder, time.monotonic())
        self._judge_where_another_file_speaks(folders)

    def _judge_where_another_file_speaks(self, folders: Iterable[Path]) -> None:
        """Have photos judged anew in those of `folders` whose `eyeline.toml` is new, changed or gone."""
        for folder in self._folder_files.changed(folders):
            self._to_write.expect(folder, time.monotonic())

    def _measured(self, photo: Photo) -> None:
        self._arrivals.done(photo.frame.path)
        self._arrivals.expect_of_another_edition(photo.frame.path.parent)
        self._to_write.noticed(photo.frame.path.parent, time.monotonic())
        self.attention.measured(photo)
        self.measured(photo)

    def _failed(self, path: Path, error: EyelineError) -> None:
        if isinstance(error, UnreadablePhoto) and self._arrivals.is_not_whole(path):
            return
        self._arrivals.done(path)
        self.attention.failed(path)
        self.session.ledger.files.set_aside(path, str(error), datetime.now(UTC))
        self.session.decider.problem(error)

    def _settle(self) -> None:
        """Look at files that are due, in folders that answer at this moment."""
        self._around.renew()
        self._arrivals.settle(self.session.decider, self._stopping)

    def _judge_anew(self, folder: Path) -> None:
        self._to_write.expect(folder, time.monotonic())

    def _write(self, folders: Sequence[Path]) -> None:
        for folder in folders:
            if not self._around.answers(folder):
                continue
            waiting = self._to_write.take(folder)
            try:
                photos = photos_in(self.session.ledger, folder)
                self.attention.will_decide(folder)
                for photo, decision in self.session.decider.decide(photos, only_new=True):
                    self.decided(photo, decision)
                    self.attention.decided(photo, decision)
                    tell_service_manager(ALIVE)
                    self._meanwhile()
                    self._around.renew()
                    if not self._around.answers(folder):
                        self._to_write.put_back(folder, waiting)
                        break
                else:
                    self.wrote(folder)
            except ExifToolFailed as error:  # the next scan of the trees finds what is not written yet
                self.session.decider.problem(error)
            except LedgerFailed:
                self._to_write.put_back(folder, waiting)
                raise
