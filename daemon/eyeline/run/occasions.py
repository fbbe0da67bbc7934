"""When the photographer is told of something, each once. Pure: what is judged and the time are handed in."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from eyeline.run.announcements import Announcement, CardIn, DiskNearlyFull, EyesSoft, FlashMissed, LineEmpty
from eyeline.run.brief import FolderBrief
from eyeline.sitting.brief import LineReport

FLASH_MISSED = frozenset({"flash_misfire", "far_too_dark"})
EYES_SOFT = frozenset({"eye_soft", "eye_not_sharp"})
"""Faults in the rules (`rules/faults.toml`)."""

MISSED_RUNNING = 2
"""Flashes that did not fire one after the other: one is a recycling time, two are a cable."""

SOFT_RUNNING = 3
"""Frames with soft eyes one after the other: one or two happen, three are a setting of the camera."""

CARD_FRAMES = 12
"""Frames from which a delivery is a card: more than a camera takes in one burst."""

CARD_PACE = 2.0
"""A card's frames arrive at least so many times as fast as they were taken."""

LATEST_FRAMES = 6
"""Frames whose pace says whether somebody is at the camera."""

CLUMP_SECONDS = 5.0
"""Seconds by the camera's clock that frames may be apart which come at once: a burst, or a slow cable."""

LITTLE_ROOM_BYTES = 5 * 10**9
"""Free space from which the disk is nearly full: some hundred RAWs, a quarter of an hour of shooting."""

ROOM_AGAIN = 1.5
"""It is told again only after so many times as much was free."""


@dataclass(slots=True)
class _Delivery:
    """Frames that came since the last pause. `since_s`, `until_s`: when they were measured; `taken_s`: by the
    camera's clock."""

    since_s: float
    until_s: float
    frames: int = 0
    set_aside: int = 0
    taken_s: list[float] = field(default_factory=list)

    @property
    def is_card(self) -> bool:
        """Whether they came from a card: many, and faster than anybody takes them."""
        if self.frames < CARD_FRAMES:
            return False
        if len(self.taken_s) < CARD_FRAMES:
            return True
        took_s = max(self.taken_s) - min(self.taken_s)
        return took_s >= CARD_PACE * (self.until_s - self.since_s)


@dataclass(slots=True)
class _Streak:
    """Frames one after the other that show the same trouble, and whether that was told."""

    names: list[str] = field(default_factory=list)
    is_told: bool = False


class Occasions:
    """What has been told already, and what has happened since."""

    def __init__(self) -> None:
        self._deliveries: dict[Path, _Delivery] = {}
        self._missed: defaultdict[Path, _Streak] = defaultdict(_Streak)
        self._soft: defaultdict[Path, _Streak] = defaultdict(_Streak)
        self._latest: defaultdict[Path, deque[tuple[float, float]]] = defaultdict(_few)
        self._gaps: set[tuple[Path, str | None, str]] = set()
        self._full: set[Path] = set()

    def judged(
        self,
        path: Path,
        faults: frozenset[str],
        stars: int | None,
        is_dark: bool,
        taken_s: float | None,
        now_s: float,
    ) -> Iterator[Announcement]:
        """A frame has its first verdict: the names of its `faults`; `is_dark`: it is black all over."""
        folder = path.parent
        delivery = self._delivery(folder, now_s)
        delivery.frames += 1
        delivery.set_aside += stars == 1
        if taken_s is not None:
            delivery.taken_s.append(taken_s)
            self._latest[folder].append((now_s, taken_s))
        is_frame = stars is not None or is_dark  # a slate or a colour chart says nothing of flash or focus
        if is_frame:
            yield from self._running(
                self._missed[folder],
                path,
                is_dark or bool(FLASH_MISSED & faults),
                MISSED_RUNNING,
                FlashMissed,
            )
            yield from self._running(
                self._soft[folder], path, bool(EYES_SOFT & faults), SOFT_RUNNING, EyesSoft
            )

    def unreadable(self, path: Path, now_s: float) -> None:
        """A photo could not be read."""
        self._delivery(path.parent, now_s).set_aside += 1

    def is_card(self, folder: Path) -> bool:
        """Whether what came into `folder` since the last pause came from a card."""
        return folder in self._deliveries and self._deliveries[folder].is_card

    def paused(
        self, folder: Path, brief: FolderBrief | None, is_one_sitter: bool = False
    ) -> Iterator[Announcement]:
        """No frame has come into `folder` for a while; `brief`: how far it is there; `is_one_sitter`: what
        has come is of one sitter, who may still be there. Of a card with several the gaps are told as one."""
        delivery = self._deliveries.pop(folder, None)
        is_card = delivery is not None and delivery.is_card
        if delivery is not None and is_card:
            missing = missing_words(brief) if brief is not None else ()
            yield CardIn(folder, delivery.frames, delivery.set_aside, missing)
        if brief is not None:
            gaps = [*self.gaps(brief, folder)]
            if not is_card or is_one_sitter:
                yield from gaps

    def gaps(self, brief: FolderBrief, folder: Path) -> Iterator[Announcement]:
        """Lines that have no frame yet, each once: of sitters who have sat, and of the whole job."""
        home = brief.source.parent if brief.source is not None else folder
        for sitter in brief.sitters:
            if sitter.frames:
                yield from self._empty(home, sitter.lines, sitter.called)
        yield from self._empty(home, brief.lines, None)

    def room(self, folder: Path, free_bytes: int) -> Iterator[Announcement]:
        """So much is free on the disk of `folder`."""
        if free_bytes >= ROOM_AGAIN * LITTLE_ROOM_BYTES:
            self._full.discard(folder)
        elif free_bytes < LITTLE_ROOM_BYTES and folder not in self._full:
            self._full.add(folder)
            yield DiskNearlyFull(folder, free_bytes)

    def _delivery(self, folder: Path, now_s: float) -> _Delivery:
        delivery = self._deliveries.setdefault(folder, _Delivery(now_s, now_s))
        delivery.until_s = now_s
        return delivery

    def _running(
        self,
        streak: _Streak,
        path: Path,
        is_one: bool,
        running: int,
        kind: type[FlashMissed] | type[EyesSoft],
    ) -> Iterator[Announcement]:
        """Told once so many have come one after the other while somebody is at the camera, and not again
        until one is well."""
        if not is_one:
            streak.names.clear()
            streak.is_told = False
            return
        streak.names = [*streak.names, path.name][-running:]
        if len(streak.names) == running and not streak.is_told and self._is_live(path.parent):
            streak.is_told = True
            yield kind(path.parent, tuple(streak.names))

    def _is_live(self, folder: Path) -> bool:
        """Whether the latest frames came about as fast as they were taken: from a camera, not from a card."""
        latest = self._latest[folder]
        if len(latest) < 2:
            return True
        came, taken = ([each[which] for each in latest] for which in (0, 1))
        return max(taken) - min(taken) <= CLUMP_SECONDS + CARD_PACE * (max(came) - min(came))

    def _empty(self, home: Path, lines: tuple[LineReport, ...], sitter: str | None) -> Iterator[Announcement]:
        for line in lines:
            key = home, sitter, line.line.name
            if line.missing and not line.there and key not in self._gaps:
                self._gaps.add(key)
                yield LineEmpty(home, line.line.name, sitter, line.nearest, line.lacks)


def missing_words(brief: FolderBrief) -> tuple[str, ...]:
    """Each line that still wants frames, in words: "2 of copy space left", "17 Alva: 1 of headshot"."""
    words = [f"{line.missing} of {line.line.name}" for line in brief.lines if line.missing]
    for sitter in brief.sitters:
        of_sitter = [f"{line.missing} of {line.line.name}" for line in sitter.lines if line.missing]
        if of_sitter:
            words.append(f"{sitter.called}: {', '.join(of_sitter)}")
    return tuple(words)


def _few() -> deque[tuple[float, float]]:
    return deque(maxlen=LATEST_FRAMES)
