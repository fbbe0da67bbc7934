"""What the photographer has decided about each frame, read from sidecars and kept until one changes."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from weakref import WeakKeyDictionary

from eyeline.deciding.correct import hand_of
from eyeline.deciding.decide import Decider
from eyeline.deciding.own_hand import OwnHand
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.errors import EyelineError
from eyeline.ledger.records import Photo
from eyeline.pages.review.spread import Laid, Part, Spread
from eyeline.run.ratings import REJECTED
from eyeline.sidecar.naming import EXTENSION

Stamp = tuple[tuple[int, int, int] | None, ...]

NEVER = datetime.min.replace(tzinfo=UTC)

LOOK_AGAIN_SECONDS = 30.0
"""How long frames that have not changed are not looked at again: while thousands are laid folder by folder,
each would be looked at for every folder."""

MOST_KEPT = 20_000
"""Hands that are kept; some 300 bytes each."""


class OwnHands:
    """`decider`: the one in force. Threads may share it."""

    def __init__(self, decider: Callable[[], Decider]) -> None:
        self._decider = decider
        self._kept: dict[Path, tuple[Stamp, OwnHand]] = {}
        self._lock = threading.Lock()

    def records(self) -> SidecarRecords:
        """For a look at many frames: each folder is listed once."""
        decider = self._decider()
        return SidecarRecords(decider.ledger, decider.configuration.naming)

    def of(self, laid: Laid, formats: tuple[str, ...], records: SidecarRecords | None = None) -> OwnHand:
        """What a person has decided about `laid` by now; `formats`: all in which a crop may be theirs."""
        stamp = _stamp(laid.path)
        with self._lock:
            kept = self._kept.get(laid.path)
        if kept is not None and kept[0] == stamp:
            return kept[1]
        hand = hand_of(self._decider(), photo_of(laid), formats, records)
        with self._lock:
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
            self._kept[laid.path] = stamp, hand
        return hand

    def renewed(self, laid: Laid, formats: tuple[str, ...], records: SidecarRecords) -> OwnHand | None:
        """The same where it was read before, None where it never was: that takes long for thousands."""
        return self.of(laid, formats, records) if laid.path in self._kept else None

    def known(self, laid: Laid) -> OwnHand | None:
        """The same where it was read before, without looking whether it still holds."""
        kept = self._kept.get(laid.path)
        return None if kept is None else kept[1]


class HandReader:
    """Reads the hands of all frames of each new spread, in a thread of its own, one after the other; and
    again now and then while somebody looks (`is_heard`), since other programs rate and select too.

    `read` is called when those of a spread are read. What is read already costs a look at the file, and not
    even that while its part of the spread is the same as a moment ago.
    """

    def __init__(self, hands: OwnHands, read: Callable[[], None], is_heard: Callable[[], bool]) -> None:
        self._hands = hands
        self._read = read
        self._is_heard = is_heard
        self._spread: Spread | None = None
        self._looked: WeakKeyDictionary[Part, float] = WeakKeyDictionary()
        self._wake = threading.Event()
        self._stopping = False
        self._thread = threading.Thread(target=self._run, name="own hands", daemon=True)
        self._thread.start()

    def take(self, spread: Spread) -> None:
        """Read the hands of `spread` next; may be called from any thread."""
        self._spread = spread
        self._wake.set()

    def stop(self) -> None:
        """End the thread."""
        self._stopping = True
        self._wake.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._is_stopping():
            was_woken = self._wake.wait(LOOK_AGAIN_SECONDS)
            self._wake.clear()
            spread = self._spread
            if spread is None or not (was_woken or self._is_heard()):
                continue
            records = self._hands.records()
            if sum(self._new_in(part, records) for part in spread.parts):
                self._read()

    def _new_in(self, part: Part, records: SidecarRecords) -> int:
        """How many hands in `part` are others than before."""
        now = time.monotonic()
        if now - self._looked.get(part, -LOOK_AGAIN_SECONDS) < LOOK_AGAIN_SECONDS:
            return 0
        self._looked[part] = now
        return sum(self._is_new(part, laid, records) for laid in part.laid)

    def _is_new(self, part: Part, laid: Laid, records: SidecarRecords) -> bool:
        """Read one hand; whether it is another than before."""
        if self._is_stopping():
            return False
        before = self._hands.known(laid)
        with suppress(EyelineError):
            return self._hands.of(laid, formats_of(part), records) != before
        return False

    def _is_stopping(self) -> bool:
        return self._stopping


def formats_of(part: Part) -> tuple[str, ...]:
    """Names of all formats in which the brief suggests crops, and a crop may be the photographer's."""
    return tuple(dict.fromkeys(shape.name for each in part.brief for shape in each.formats))


def stars_of(hand: OwnHand | None) -> int | None:
    """The stars, 1 to 5, that a person gave; a rejected frame counts as one, as it does for `learn`."""
    if hand is None or not hand.stars:
        return None
    return 1 if hand.stars <= REJECTED else max(1, min(5, round(hand.stars)))


def photo_of(laid: Laid) -> Photo:
    """As much of a photo as sidecars need to know."""
    return Photo(laid.frame, (), laid.points, "", {}, NEVER, 0)


def _stamp(photo: Path) -> Stamp:
    return tuple(_status(path) for path in _carriers(photo))


def _carriers(photo: Path) -> Iterator[Path]:
    yield photo.with_name(photo.stem + EXTENSION)
    yield photo.with_name(photo.name + EXTENSION)
    yield photo


def _status(path: Path) -> tuple[int, int, int] | None:
    with suppress(OSError):
        found = path.stat()
        return found.st_mtime_ns, found.st_size, found.st_ino
    return None
