"""Photos that arrive in the watched trees, by events and by walks through them, until they are handed on."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from eyeline.deciding.decide import Decider
from eyeline.errors import EyelineError, LedgerFailed, UnreadablePhoto
from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.events import Events, Kind
from eyeline.intake.obstacle import Obstacle
from eyeline.intake.roots import root_of
from eyeline.intake.settle import Settling, State
from eyeline.intake.status import status_of
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import FolderRow
from eyeline.ledger.records import State as FileState
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.settings.folder_file import FILE_NAME
from eyeline.settings.sitter_list import LIST_SUFFIX
from eyeline.workers.ingest import Ingest

MOST_AGAIN = 1000
"""Files that are tried again at a time; the others follow."""


@dataclass(frozen=True, slots=True)
class Noticed:
    """An event says that something happened to `path`."""

    path: Path
    kind: Kind


class Arrivals:
    """Files on their way from the watched trees to `ingest`.

    `answers`: whether a folder can be touched without waiting for it. `mailbox`: where events are put, each
    as Noticed.

    Methods raise LedgerFailed where they use the ledger; the same call again goes on from there.
    """

    def __init__(
        self,
        ledger: Ledger,
        ingest: Ingest,
        quiet_s: float,
        answers: Callable[[Path], bool],
        mailbox: queue.SimpleQueue[Any],
    ) -> None:
        self._ledger = ledger
        self._ingest = ingest
        self._answers = answers
        self._mailbox = mailbox
        self._events: dict[Path, Events] = {}
        self._settling = Settling(quiet_s)
        self._reported: set[Obstacle] = set()
        self._of_one_edition: set[Path] = set()

    def __len__(self) -> int:
        """Files that are not settled or not measured yet."""
        return len(self._settling)

    @property
    def awaits_new(self) -> bool:
        """Whether any file is on its way, besides those that are looked at again as they broke off."""
        return self._settling.awaits_new

    @property
    def listens_elsewhere(self) -> bool:
        """Whether a watched folder was moved away and made anew, so that it is to be listened to again."""
        return any(events.is_stale for root, events in self._events.items() if self._answers(root))

    def notice(self, event: Noticed) -> None:
        """Something happened to a file. A close or a rename tells that its writer has done."""
        closed = None if event.kind is Kind.TOUCHED else event.kind in (Kind.CLOSED, Kind.MOVED)
        self._settling.notice(event.path, time.monotonic(), closed)

    @property
    def next_look_s(self) -> float | None:
        """When the next look at a file is due by the monotonic clock; None where none is under way."""
        return self._settling.next_look_s()

    def done(self, path: Path) -> None:
        """The file at `path` is measured, or never will be."""
        self._settling.done(path)

    def is_not_whole(self, path: Path) -> bool:
        """Whether a file that cannot be read may still be growing; it is then looked at again later."""
        if not self._settling.not_whole(path, time.monotonic()):
            return False
        self._ledger.files.again(path, datetime.now(UTC))
        return True

    def catch_up(self, roots: Iterable[Path], decider: Decider) -> tuple[list[Path], list[Path]]:
        """Walk through the trees at `roots`: what is new or due is expected, each problem reported once.

        Returns all folders with photos, and those of them in which a photo is measured and not written.
        """
        roots = list(roots)
        problems = {problem for root in roots for problem in self._listen(root)}
        folders: dict[Path, None] = {}
        unwritten: dict[Path, None] = {}
        rows: dict[Path, FolderRow] = {}
        for found in catch_up(roots):
            if isinstance(found, Obstacle):
                problems.add(found)
                continue
            folder = found.path.parent
            if folder not in folders:
                folders[folder] = None
                rows = {row.path: row for row in self._ledger.files.in_folder(folder)}
            row = rows.get(found.path)
            if row is None or self._is_to_be_measured(found, row):
                self._settling.expect(found.path, time.monotonic())
            elif row.state is FileState.MEASURED:  # a stop came before it was written
                unwritten[folder] = None
        for problem in problems - self._reported:
            decider.problem(EyelineError(problem.what, problem.path, problem.cure))
        self._reported = problems
        return list(folders), list(unwritten)

    def try_again(self, roots: Iterable[Path]) -> None:
        """Expect the files under `roots` that are to be tried again by now."""
        roots = tuple(roots)
        for path in self._ledger.files.due(datetime.now(UTC), MOST_AGAIN):
            if root_of(path, roots) is None or not self._answers(path):
                continue
            if status_of(path) is None:
                self._ledger.files.gone(path)
            else:
                self._settling.expect(path, time.monotonic())

    def expect_of_another_edition(self, folder: Path) -> None:
        """Expect the photos in `folder` that another edition has measured: what lies in one folder is judged
        together, by numbers of one kind. Folders in which nothing is new are left alone. Looked for once."""
        if folder in self._of_one_edition:
            return
        self._of_one_edition.add(folder)
        for path, edition in self._ledger.photos.editions_in(folder).items():
            if edition != MEASURES_EDITION and status_of(path) is not None:
                self._ledger.files.again(path, datetime.now(UTC))
                self._settling.expect(path, time.monotonic())

    def settle(self, decider: Decider, stopping: bool) -> None:
        """Hand on the files that have arrived wholly, unless the daemon is `stopping`."""
        now = time.monotonic()
        failed: LedgerFailed | None = None
        for path in self._settling.due(now):
            if failed is not None or not self._answers(path):
                self._settling.notice(path, now)
                continue
            answer = self._settling.look(path, status_of(path), now)
            try:
                if answer.state is State.ARRIVED and answer.status is not None and not stopping:
                    if not self._ingest.take(path, answer.status):
                        self._settling.done(path)
                elif answer.state is State.FAILED:
                    decider.problem(UnreadablePhoto(answer.why, path, "Copy it from the card again"))
            except LedgerFailed as error:
                failed = error
                self._settling.done(path)
                self._settling.expect(path, now)
        if failed is not None:
            raise failed

    def stop(self) -> None:
        """Hear no more events."""
        for root, events in self._events.items():
            if self._answers(root):
                events.stop()

    def _listen(self, root: Path) -> tuple[Obstacle, ...]:
        """Have events of `root` put into the mailbox, from the first time on that it answers."""
        if root not in self._events:
            self._events[root] = Events(
                [root],
                lambda path, kind: self._mailbox.put(Noticed(path, kind)),
                also=[FILE_NAME, LIST_SUFFIX],
            )
        return self._events[root].start()

    def _is_to_be_measured(self, found: Candidate, row: FolderRow) -> bool:
        """Whether a file is new or changed, is still to be measured, or is to be tried again by now."""
        if row.status != found.status or row.state is FileState.ARRIVED:
            return True
        known = self._ledger.files.known(found.path) if row.state is FileState.POSTPONED else None
        return known is not None and (known.not_before is None or known.not_before <= datetime.now(UTC))
