"""What the daemon tells while photos arrive, and who listens: the terminal, pages, other programs."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, ClassVar

from eyeline.errors import printable

MOST_UNHEARD = 2_000
"""Announcements that wait for one listener: a card's worth. Of one that hangs the oldest are dropped."""

LAST_WORDS_SECONDS = 5.0
"""How long `close` waits for each listener to hear what it has not heard yet."""


@dataclass(frozen=True, slots=True)
class Announcement:
    """Something that somebody may want to hear of. `kind` is its name in JSON and in the configuration."""

    kind: ClassVar[str] = ""


@dataclass(frozen=True, slots=True)
class FrameJudged(Announcement):
    """A frame has its verdict. `early`: judged among what had arrived by then; it is told again where the
    verdict has changed once the sitting is over and the sidecar is written.

    `stars` None: no portrait. `binds`: the reason that a person reads first. `sitter`: label, None where
    nobody said who sits. `own_stars`: the photographer's, which stand, None where they gave none.
    """

    kind: ClassVar[str] = "frame judged"
    file: Path
    genre: str
    stars: int | None
    keywords: tuple[str, ...]
    binds: str = ""
    sitter: str | None = None
    early: bool = False
    own_stars: int | None = None


@dataclass(frozen=True, slots=True)
class SitterSeated(Announcement):
    """Somebody said who sits from now on in the photos that arrive below `folder`."""

    kind: ClassVar[str] = "sitter seated"
    folder: Path
    sitter: str


@dataclass(frozen=True, slots=True)
class CardIn(Announcement):
    """Many frames came at once and all are measured: how many, how many of them are set aside (one star, or
    unreadable), and each line of the brief that still wants frames, in words."""

    kind: ClassVar[str] = "card in"
    folder: Path
    frames: int
    set_aside: int
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LineEmpty(Announcement):
    """The sitting pauses and a line of the brief has no frame yet; `nearest` and what it lacks in words."""

    kind: ClassVar[str] = "line empty"
    folder: Path
    line: str
    sitter: str | None = None
    nearest: str | None = None
    lacks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FlashMissed(Announcement):
    """The flash did not fire for several frames running, the latest last."""

    kind: ClassVar[str] = "flash missed"
    folder: Path
    frames: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EyesSoft(Announcement):
    """The eyes are not sharp in several frames running, the latest last."""

    kind: ClassVar[str] = "eyes soft"
    folder: Path
    frames: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DiskNearlyFull(Announcement):
    """Little room is left on the disk that `folder` lies on."""

    kind: ClassVar[str] = "disk nearly full"
    folder: Path
    free_bytes: int


KINDS: tuple[type[Announcement], ...] = (
    FrameJudged,
    SitterSeated,
    CardIn,
    LineEmpty,
    FlashMissed,
    EyesSoft,
    DiskNearlyFull,
)
"""Every kind of announcement."""


def record_of(announcement: Announcement) -> dict[str, Any]:
    """An announcement as JSON holds it: its kind, then its fields; paths are text that is safe to print."""
    found: dict[str, Any] = {"kind": announcement.kind}
    for each in fields(announcement):
        value = getattr(announcement, each.name)
        if isinstance(value, Path):
            value = printable(value)
        found[each.name] = list(value) if isinstance(value, tuple) else value
    return found


Listener = Callable[[Announcement], object]


class Announcements:
    """The place where announcements are made and heard.

    Each listener has a thread and a queue of its own, so that one that hangs or fails holds up neither the
    daemon nor another listener; it hears what is told in the order in which it is told.
    """

    def __init__(self) -> None:
        self._hearings: list[_Hearing] = []
        self._lock = threading.Lock()

    def subscribe(self, listener: Listener) -> Callable[[], None]:
        """Have `listener` called, in a thread of its own, with all that is told from now on.

        Returns what ends that. What `listener` raises is dropped.
        """
        hearing = _Hearing(listener)
        with self._lock:
            self._hearings.append(hearing)

        def unsubscribe() -> None:
            with self._lock, suppress(ValueError):
                self._hearings.remove(hearing)
            hearing.end()

        return unsubscribe

    def tell(self, announcement: Announcement) -> None:
        """Tell all who listen. Returns at once."""
        with self._lock:
            hearings = tuple(self._hearings)
        for hearing in hearings:
            hearing.put(announcement)

    def close(self) -> None:
        """Tell nothing more; listeners have LAST_WORDS_SECONDS for what they have not heard yet."""
        with self._lock:
            hearings, self._hearings = tuple(self._hearings), []
        for hearing in hearings:
            hearing.end()
        for hearing in hearings:
            hearing.join(LAST_WORDS_SECONDS)


class _Hearing(threading.Thread):
    """One listener's queue and thread."""

    def __init__(self, listener: Listener) -> None:
        super().__init__(name="eyeline-listener", daemon=True)
        self._listener = listener
        self._unheard: queue.Queue[Announcement | None] = queue.Queue(MOST_UNHEARD)
        self.start()

    def put(self, announcement: Announcement | None) -> None:
        while True:
            try:
                self._unheard.put_nowait(announcement)
                return
            except queue.Full:
                with suppress(queue.Empty):
                    self._unheard.get_nowait()

    def end(self) -> None:
        self.put(None)

    def run(self) -> None:
        while (announcement := self._unheard.get()) is not None:
            with suppress(Exception):  # a listener's fault is its own
                self._listener(announcement)
