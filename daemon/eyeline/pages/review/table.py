"""The light table: the spread that pages show, laid anew by a thread of its own when photos arrive."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.shoot import folders_of
from eyeline.errors import EyelineError
from eyeline.ledger.records import Photo
from eyeline.pages.review.spread import Laid, Part, Spread, lay
from eyeline.sitting.exposures import home

COALESCE_SECONDS = 0.1
"""What arrives within this time is laid together: a burst, not a card."""

MOST_SHARE = 0.5
"""Share of the time that laying may take while photos pour in; the rest is the daemon's."""

AGAIN_SECONDS = 1.0
"""After this a folder is laid again whose ledger could not be read."""

MOST_KEPT = 1_500
"""Photos that are kept as they were read, so that the next arrival costs one more; some 60 kB each."""


class LightTable:
    """The frames below `roots`. `decider`: the one in force. Its thread runs from `start` to `stop`."""

    def __init__(self, decider: Callable[[], Decider], roots: Iterable[Path]) -> None:
        self._decider = decider
        self._roots = tuple(roots)
        self._dirty: set[Path] = set()
        self._parts: dict[Path, Part] = {}
        self._kept: dict[Path, tuple[int | None, Photo]] = {}
        self._lock = threading.Lock()
        self._wake = threading.Event()
        self._stopping = False
        self._listeners: set[Callable[[Spread], None]] = set()
        self._thread = threading.Thread(target=self._run, name="light table", daemon=True)
        self.spread = Spread(0, ())

    def start(self) -> None:
        """Lay what the ledger holds, then wait for more."""
        self.touch_all()
        self._thread.start()

    def stop(self) -> None:
        """End the thread."""
        self._stopping = True
        self._wake.set()
        self._thread.join()

    def subscribe(self, listener: Callable[[Spread], None]) -> Callable[[], None]:
        """Have `listener` called, in the table's thread, with each new spread. Returns what ends that."""
        with self._lock:
            self._listeners.add(listener)

        def unsubscribe() -> None:
            with self._lock:
                self._listeners.discard(listener)

        return unsubscribe

    def touch(self, folder: Path) -> None:
        """Something has changed about a photo in `folder`."""
        with self._lock:
            self._dirty.update(folders_of(Path(home(folder))))
        self._wake.set()

    def touch_all(self) -> None:
        """Rules may have changed, or anything else."""
        ledger = self._decider().ledger
        folders = {each.path.parent for root in self._roots for each in ledger.files.under(root)}
        with self._lock:
            self._dirty |= folders | self._parts.keys()
        self._wake.set()

    def photo(self, laid: Laid) -> Photo | None:
        """What was measured in `laid`; None where it is forgotten meanwhile."""
        kept = self._kept.get(laid.path)
        return kept[1] if kept is not None else self._decider().ledger.photos.at(laid.path)

    def _run(self) -> None:
        pause = 0.0
        while True:
            self._wake.wait()
            if self._stopping:
                return
            time.sleep(max(COALESCE_SECONDS, pause))
            self._wake.clear()
            with self._lock:
                dirty, self._dirty = self._dirty, set()
            began = time.thread_time()
            try:
                self._lay(dirty)
            except EyelineError:  # the ledger, which the daemon tells of; what was laid before stays
                with self._lock:
                    self._dirty |= dirty
                time.sleep(AGAIN_SECONDS)
                self._wake.set()
            pause = (time.thread_time() - began) * (1 / MOST_SHARE - 1)

    def _lay(self, folders: Iterable[Path]) -> None:
        """Lay `folders`, the latest name first, and show each as soon as it is laid."""
        decider = self._decider()
        for folder in sorted(folders, reverse=True):
            if self._stopping:
                return
            part = lay(decider, folder, self._photos(decider, folder))
            if part.laid or part.fault:
                self._parts[folder] = part
            elif self._parts.pop(folder, None) is None:
                continue
            parts = tuple(self._parts[each] for each in sorted(self._parts))
            self.spread = Spread(self.spread.version + 1, parts)
            self._tell()

    def _tell(self) -> None:
        with self._lock:
            listeners = tuple(self._listeners)
        for listener in listeners:
            with suppress(Exception):  # a page that has gone costs nobody else
                listener(self.spread)

    def _photos(self, decider: Decider, folder: Path) -> list[Photo]:
        """Every measured photo in `folder`; those that were read before and are as they were are not read."""
        rows = [row for row in decider.ledger.files.in_folder(folder) if row.measured is not None]
        if len(rows) > MOST_KEPT:
            return decider.ledger.photos.in_folder(folder)
        known = {
            row.path: kept for row in rows if (kept := self._kept.get(row.path)) and kept[0] == row.measured
        }
        if len(known) < len(rows) / 2:
            read = {each.frame.path: each for each in decider.ledger.photos.in_folder(folder)}
        else:
            at, new = decider.ledger.photos.at, [row.path for row in rows if row.path not in known]
            read = {path: photo for path in new if (photo := at(path)) is not None}
        if len(self._kept) > MOST_KEPT:
            self._kept.clear()
        found = {row.path: known.get(row.path) or (row.measured, read.get(row.path)) for row in rows}
        self._kept |= {path: (row, photo) for path, (row, photo) in found.items() if photo is not None}
        return [photo for _, photo in found.values() if photo is not None]
