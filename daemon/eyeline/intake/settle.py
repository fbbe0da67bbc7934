"""When a file has arrived: quiet, unchanged, not empty, still there.

What it is there for:

- slow writers: a card reader or tethered camera that writes for minutes, in bursts;
- copies preallocated at full size: the size stands still while the modification time moves;
- temp-then-rename: another inode under the final name;
- files that vanish or are replaced before they ever stood still;
- network folders without events: looks alone decide, events only hasten them;
- a clock that is set: only differences of the monotonic time handed in count; a file's own times are
  compared with nothing but themselves.

Whether a file is whole only its reader can tell. If it is not, `not_whole` has it looked at again, ever
more rarely, until the patience ends.

A pure state machine: it looks at nothing and knows no clock. The loop that drives it:

    for path in settling.due(now_s):
        answer = settling.look(path, status_of(path), now_s)
    sleep until settling.next_look_s()
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from enum import Enum
from itertools import count
from pathlib import Path

from eyeline.terms.file_status import FileStatus

# Card file systems keep modification times to 2 s (FAT), so two looks less apart may miss a change.
QUIET_S = 2.0
# After a close or a rename: what sets times and rights afterwards has done so, and one look more has seen the
# same. A copier that closes and opens again between blocks is met by `not_whole`, or by its next event.
QUIET_AFTER_CLOSE_S = 0.1
# The first look after an event, as a share of the quiet time: waits out a burst of events, costs little.
FIRST_LOOK_SHARE = 0.25
# Looks at a file that is not whole: at 2, 4, 8, 16 and 32 quiet times, two minutes in all by default.
TRIES = 5


class State(Enum):
    """What a look at a file amounts to."""

    WAITING = "another look is due later"
    ARRIVED = "hand it over; call done() or not_whole() for it"
    UNCHANGED = "handed over already as it is; nothing to do"
    VANISHED = "gone, or no longer a regular file; forgotten"
    FAILED = "patience has ended; forgotten; `why` says the reason"


@dataclass(frozen=True, slots=True)
class Answer:
    """`status` is the file's where it has ARRIVED, to be kept with the verdict; `why` if FAILED."""

    path: Path
    state: State
    status: FileStatus | None = None
    why: str = ""


@dataclass(slots=True)
class _Wait:
    seen: FileStatus | None = None
    seen_since_s: float = 0.0  # the first look that saw `seen`, no event later than it
    stirred: bool = True  # an event came after the last look
    closed: bool = False  # the last event was a close, and nothing changed since
    tries: int = 0
    handed: FileStatus | None = None
    in_hand: bool = False
    due_s: float | None = None
    queued_s: float | None = None


class Settling:
    """The files that are under way. Times are monotonic seconds; not safe for use by several threads."""

    def __init__(
        self,
        quiet_s: float = QUIET_S,
        quiet_after_close_s: float = QUIET_AFTER_CLOSE_S,
        tries: int = TRIES,
    ) -> None:
        self._quiet_s = quiet_s
        self._quiet_after_close_s = min(quiet_s, quiet_after_close_s)
        self._tries = tries
        self._waits: dict[Path, _Wait] = {}
        # (due, order of noticing, path); an entry counts only while it equals its file's `queued_s`.
        self._queue: list[tuple[float, int, Path]] = []
        self._order = count()

    def __len__(self) -> int:
        """How many files are waited for or in hand."""
        return len(self._waits)

    @property
    def awaits_new(self) -> bool:
        """Whether any file is waited for that was not found broken off or empty yet. One that was may mend,
        but is as likely a transfer that has failed: nobody waits for it with anything else."""
        return any(not wait.tries for wait in self._waits.values())

    def expect(self, path: Path, now_s: float) -> None:
        """A scan has found `path`: wait for it, unless that is being done already."""
        if path not in self._waits:
            self._schedule(path, self._waits.setdefault(path, _Wait()), now_s)

    def notice(self, path: Path, now_s: float, closed: bool | None = False) -> None:
        """An event says that something happened to `path`; `closed`: that its writer closed it, or moved it
        here whole; None: that only rights or times were set, which says nothing of a writer."""
        wait = self._waits.get(path)
        if wait is None:
            self.expect(path, now_s)
            self._waits[path].closed = bool(closed)
            return
        wait.stirred = True
        wait.closed = wait.closed if closed is None else closed
        self._schedule(path, wait, now_s if wait.closed else now_s + self._quiet_s * FIRST_LOOK_SHARE)

    def due(self, now_s: float) -> tuple[Path, ...]:
        """The files to look at now, in the order in which they became due; each must be given to `look`."""
        found = []
        while (next_s := self.next_look_s()) is not None and next_s <= now_s:
            path = heapq.heappop(self._queue)[2]
            self._waits[path].queued_s = None
            found.append(path)
        return tuple(found)

    def next_look_s(self) -> float | None:
        """When the next look is due, or None if nothing is waited for."""
        while self._queue:
            due_s, _, path = self._queue[0]
            wait = self._waits.get(path)
            if wait is not None and wait.queued_s == due_s == wait.due_s:
                return due_s
            heapq.heappop(self._queue)
            if wait is not None and wait.queued_s == due_s:  # postponed since it was queued
                wait.queued_s = None
                if wait.due_s is not None:
                    self._schedule(path, wait, wait.due_s)
        return None

    def look(self, path: Path, seen: FileStatus | None, now_s: float) -> Answer:
        """Take note of a look at a file that `due` named; `seen` is None if it is not there.

        Raises KeyError for a file that is not under way.
        """
        wait = self._waits[path]
        if seen is None:
            del self._waits[path]
            return Answer(path, State.VANISHED)
        if seen == wait.handed:
            self._rest(path, wait)
            return Answer(path, State.UNCHANGED, seen)
        if seen != wait.seen:
            # A change that no event announced unsays an earlier close.
            wait.closed = wait.closed and wait.stirred
            wait.tries = 0
        if wait.stirred or seen != wait.seen:
            wait.seen, wait.seen_since_s, wait.stirred = seen, now_s, False
        quiet_until_s = wait.seen_since_s + (self._quiet_after_close_s if wait.closed else self._quiet_s)
        if now_s < quiet_until_s or wait.seen_since_s == now_s:
            self._schedule(path, wait, quiet_until_s)
            return Answer(path, State.WAITING)
        if seen.size == 0:
            if self._look_again(path, wait, now_s):
                return Answer(path, State.WAITING)
            return Answer(path, State.FAILED, seen, "the file is empty")
        wait.handed, wait.in_hand, wait.due_s = seen, True, None
        return Answer(path, State.ARRIVED, seen)

    def not_whole(self, path: Path, now_s: float) -> bool:
        """The file that ARRIVED breaks off. Whether that may still mend.

        True: it will be looked at, and handed over, again; or it has vanished since. False: patience has
        ended, the file is forgotten and has failed for the caller's own reason.
        """
        wait = self._waits.get(path)
        if wait is None:
            return True
        wait.in_hand = False
        if wait.due_s is not None and wait.seen != wait.handed:  # it has changed meanwhile
            return True
        wait.handed = None
        return self._look_again(path, wait, now_s)

    def done(self, path: Path) -> None:
        """The file that ARRIVED has been dealt with, well or ill. Unknown files are let pass."""
        wait = self._waits.get(path)
        if wait is not None:
            wait.in_hand = False
            if wait.due_s is None:
                del self._waits[path]

    def _look_again(self, path: Path, wait: _Wait, now_s: float) -> bool:
        wait.tries += 1
        if wait.tries > self._tries:
            del self._waits[path]
            return False
        self._schedule(path, wait, now_s + self._quiet_s * 2**wait.tries)
        return True

    def _rest(self, path: Path, wait: _Wait) -> None:
        wait.due_s = None
        if not wait.in_hand:
            del self._waits[path]

    def _schedule(self, path: Path, wait: _Wait, due_s: float) -> None:
        wait.due_s = due_s
        if wait.queued_s is None or due_s < wait.queued_s:
            wait.queued_s = due_s
            heapq.heappush(self._queue, (due_s, next(self._order), path))
