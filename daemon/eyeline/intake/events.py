"""What the system reports while it happens: a wrapper around watchdog that never stands in the way.

Events only wake; none of them is believed. Where they fail (too few inotify watches, network folders,
folders that refuse) the periodic catch-up scan finds the same photos later.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable, Collection, Iterable, Iterator
from enum import Enum
from pathlib import Path

from watchdog import events as happened
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver, ObservedWatch

from eyeline.intake.inotify_watches import unwatched_folders
from eyeline.intake.names import is_wanted
from eyeline.intake.obstacle import Obstacle, obstacle_of
from eyeline.intake.roots import outermost

_SCAN_ONLY = "Until then new photos there are found by the periodic scan only"
# inotify(7): both limits are per user.
_RAISE_THE_LIMIT = f"Raise it with `sysctl fs.inotify.max_user_watches=524288` as root. {_SCAN_ONLY}"
_RAISE_THE_INSTANCES = f"Raise them with `sysctl fs.inotify.max_user_instances=1024` as root. {_SCAN_ONLY}"
# Opening and closing unwritten are left out: reading a photo must not wake us for it again.
_REPORTED: list[type[happened.FileSystemEvent]] = [
    happened.DirCreatedEvent,
    happened.DirMovedEvent,
    happened.FileAttribEvent,
    happened.FileClosedEvent,
    happened.FileCreatedEvent,
    happened.FileDeletedEvent,
    happened.FileModifiedEvent,
    happened.FileMovedEvent,
]


class Kind(Enum):
    """What is said to have happened to a path."""

    CHANGED = "made or written to"
    TOUCHED = "its rights or times set"
    CLOSED = "closed by a writer"
    MOVED = "moved here"
    GONE = "removed or moved away"


class Events(happened.FileSystemEventHandler):
    """Calls `wake(path, kind)` for what happens to photos (by name) in the trees at `paths`, and to files
    that have one of the names `also`, or the suffix of one that begins with a dot.

    `wake` is called in a thread of its own and must raise nothing; handing the pair to a queue is
    meant. The same event may be told twice, late, or not at all.
    """

    def __init__(
        self, paths: Iterable[Path], wake: Callable[[Path, Kind], None], also: Collection[str] = ()
    ) -> None:
        self._roots = outermost(paths)
        self._also = frozenset(also)
        self._wake = wake
        self._observer: BaseObserver | None = None
        self._stopped = True
        # What each root was when its watch was set: a folder that was made anew needs a new one.
        # None asks for a new one at the next occasion.
        self._watches: dict[Path, tuple[ObservedWatch, tuple[int, int] | None]] = {}

    def start(self) -> tuple[Obstacle, ...]:
        """Begin to listen; what cannot be listened to is returned. Raises nothing."""
        self._stopped = False
        return self.renew()

    def renew(self) -> tuple[Obstacle, ...]:
        """Listen again where that has ended or failed, and return what is not listened to at present.

        Meant to be called with every catch-up scan: a folder may have come back or been made anew, a
        limit been raised. Raises nothing. Watched paths that are not there are left to the scan to
        report.
        """
        if self._stopped:
            return ()
        try:
            observer = self._running_observer()
        except (OSError, RuntimeError) as error:
            return tuple(_refusal(error, root) for root in self._roots)
        problems = [problem for root in self._roots if (problem := self._watch(root, observer)) is not None]
        return tuple(problems or self._shortfall())

    @property
    def is_stale(self) -> bool:
        """Whether a watched path is another folder by now than the one that is listened to."""
        watched = {root: identity for root, (_, identity) in self._watches.items() if identity is not None}
        return any(now is not None and now != watched[root] for root, now in _identities(watched))

    def stop(self) -> None:
        """Stop listening and wait until the threads have ended. May be called at any time, repeatedly."""
        self._stopped = True
        observer, self._observer = self._observer, None
        self._watches.clear()
        if observer is not None:
            observer.stop()
            observer.join()

    def on_any_event(self, event: happened.FileSystemEvent) -> None:
        """Called by watchdog, in its own thread, for each event."""
        if event.is_directory:  # watchdog reports the content of a new folder file by file
            return
        source, target = Path(os.fsdecode(event.src_path)), Path(os.fsdecode(event.dest_path or ""))
        if isinstance(event, happened.FileMovedEvent):
            self._tell(source, Kind.GONE)
            self._tell(target, Kind.MOVED)
        elif isinstance(event, happened.FileDeletedEvent):
            self._tell(source, Kind.GONE)
        elif isinstance(event, happened.FileClosedEvent):
            self._tell(source, Kind.CLOSED)
        elif isinstance(event, happened.FileAttribEvent):
            self._tell(source, Kind.TOUCHED)
        elif isinstance(event, (happened.FileCreatedEvent, happened.FileModifiedEvent)):
            self._tell(source, Kind.CHANGED)

    def _tell(self, path: Path, kind: Kind) -> None:
        if not self._also.isdisjoint((path.name, path.suffix)) or any(
            path == root or is_wanted(path, root) for root in self._roots
        ):
            self._wake(path, kind)

    def _running_observer(self) -> BaseObserver:
        observer = self._observer
        if observer is not None and observer.is_alive():
            return observer
        if observer is not None:  # its dispatching thread has died; end those that feed it
            observer.stop()
        self._observer = None
        self._watches.clear()
        observer = Observer()
        observer.start()
        self._observer = observer
        return observer

    def _watch(self, root: Path, observer: BaseObserver) -> Obstacle | None:
        try:
            status = root.stat()
            folder = root
            if not stat.S_ISDIR(status.st_mode):  # a single file is watched through its folder
                folder = root.parent
                status = folder.stat()
        except (OSError, ValueError):  # ValueError: a NUL in the name
            return None
        identity = (status.st_dev, status.st_ino)
        watch, watched_identity = self._watches.pop(root, (None, None))
        try:
            if watch is not None and identity != watched_identity:
                observer.unschedule(watch)
                watch = None
            if watch is None:
                if not os.access(folder, os.R_OK | os.X_OK):
                    raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
                watch = observer.schedule(self, str(root), recursive=True, event_filter=_REPORTED)
        except (OSError, RuntimeError, KeyError) as error:
            return _refusal(error, root)
        self._watches[root] = (watch, identity)
        return None

    def _shortfall(self) -> list[Obstacle]:
        problems = []
        for root, (watch, _) in self._watches.items():
            if not watch.is_file and (missing := unwatched_folders(root)):
                what = f"{len(missing)} of its folders are not listened to: too few inotify watches"
                problems.append(Obstacle(root, what, _RAISE_THE_LIMIT))
                self._watches[root] = (watch, None)
        return problems


def _identities(roots: Iterable[Path]) -> Iterator[tuple[Path, tuple[int, int] | None]]:
    """Device and inode of the folder that is listened to for each of `roots`, None where there is none."""
    for root in roots:
        try:
            status = root.stat()
            if not stat.S_ISDIR(status.st_mode):
                status = root.parent.stat()
        except (OSError, ValueError):
            yield root, None
        else:
            yield root, (status.st_dev, status.st_ino)


def _refusal(error: Exception, root: Path) -> Obstacle:
    if isinstance(error, OSError) and error.errno == errno.ENOSPC:
        return Obstacle(root, "this folder is not listened to: too few inotify watches", _RAISE_THE_LIMIT)
    if isinstance(error, OSError) and error.errno == errno.EMFILE:
        return Obstacle(
            root, "this folder is not listened to: too few inotify instances", _RAISE_THE_INSTANCES
        )
    if isinstance(error, OSError):
        return obstacle_of(error, root, "this folder cannot be listened to")
    return Obstacle(root, f"this folder cannot be listened to: {error}", f"Restart eyeline. {_SCAN_ONLY}")
