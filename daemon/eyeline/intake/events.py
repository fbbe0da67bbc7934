"""What the system reports while it happens: a wrapper around watchdog that never stands in the way.

Events only wake; none of them is believed. Where they fail (too few inotify watches, network folders,
folders that refuse) the periodic catch-up scan finds the same photos later.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable, Iterable
from enum import Enum
from pathlib import Path

from watchdog.events import (
    DirCreatedEvent,
    DirMovedEvent,
    FileAttribEvent,
    FileClosedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    FileModifiedEvent,
    FileMovedEvent,
    FileSystemEvent,
    FileSystemEventHandler,
)
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver, ObservedWatch

from eyeline.intake.inotify_watches import unwatched_folders
from eyeline.intake.names import is_wanted
from eyeline.intake.problem import Problem, problem_of
from eyeline.intake.roots import outermost

_SCAN_ONLY = "Until then new photos there are found by the periodic scan only"
# inotify(7): both limits are per user.
_RAISE_THE_LIMIT = f"Raise it with `sysctl fs.inotify.max_user_watches=524288` as root. {_SCAN_ONLY}"
_RAISE_THE_INSTANCES = f"Raise them with `sysctl fs.inotify.max_user_instances=1024` as root. {_SCAN_ONLY}"
# Opening and closing unwritten are left out: reading a photo must not wake us for it again.
_REPORTED: list[type[FileSystemEvent]] = [
    DirCreatedEvent,
    DirMovedEvent,
    FileAttribEvent,
    FileClosedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    FileModifiedEvent,
    FileMovedEvent,
]


class Kind(Enum):
    """What is said to have happened to a path."""

    CHANGED = "made, written to, or its rights or times changed"
    CLOSED = "closed by a writer"
    MOVED = "moved here"
    GONE = "removed or moved away"


class Events(FileSystemEventHandler):
    """Calls `wake(path, kind)` for what happens to photos (by name) in the trees at `paths`.

    `wake` is called in a thread of its own and must raise nothing; handing the pair to a queue is
    meant. The same event may be told twice, late, or not at all.
    """

    def __init__(self, paths: Iterable[Path], wake: Callable[[Path, Kind], None]) -> None:
        self._roots = outermost(paths)
        self._wake = wake
        self._observer: BaseObserver | None = None
        # What each root was when its watch was set: a folder that was made anew needs a new one.
        self._watches: dict[Path, tuple[ObservedWatch, tuple[int, int]]] = {}

    def start(self) -> tuple[Problem, ...]:
        """Begin to listen; what cannot be listened to is returned. Raises nothing."""
        try:
            self._observer = Observer()
            self._observer.start()
        except (OSError, RuntimeError) as error:
            self._observer = None
            return tuple(_refusal(error, root) for root in self._roots)
        return self.renew()

    def renew(self) -> tuple[Problem, ...]:
        """Watch again what came back or was made anew, and return what is not listened to at present.

        Meant to be called with every catch-up scan. Raises nothing. Watched paths that are not there
        are left to the scan to report.
        """
        observer = self._observer
        if observer is None or not observer.is_alive():
            what, cure = "nothing listens to the events of this folder", f"Restart eyeline. {_SCAN_ONLY}"
            return tuple(Problem(root, what, cure) for root in self._roots)
        problems = []
        for root in self._roots:
            try:
                status = root.stat()
                folder = root
                if not stat.S_ISDIR(status.st_mode):  # a single file is watched through its folder
                    folder = root.parent
                    status = folder.stat()
                identity = (status.st_dev, status.st_ino)
            except (OSError, ValueError):  # ValueError: a NUL in the name
                continue
            watch, watched_identity = self._watches.get(root, (None, None))
            if identity == watched_identity:
                continue
            try:
                if watch is not None:
                    del self._watches[root]
                    observer.unschedule(watch)
                if not os.access(folder, os.R_OK | os.X_OK):
                    raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
                watch = observer.schedule(self, str(root), recursive=True, event_filter=_REPORTED)
                self._watches[root] = (watch, identity)
            except (OSError, RuntimeError, KeyError) as error:
                problems.append(_refusal(error, root))
        if not problems:
            problems.extend(self._shortfall())
        return tuple(problems)

    def stop(self) -> None:
        """Stop listening and wait until the threads have ended. May be called at any time, repeatedly."""
        observer, self._observer = self._observer, None
        self._watches.clear()
        if observer is not None:
            observer.stop()
            observer.join()

    def on_any_event(self, event: FileSystemEvent) -> None:
        """Called by watchdog, in its own thread, for each event."""
        if event.is_directory:  # watchdog reports the content of a new folder file by file
            return
        source, target = Path(os.fsdecode(event.src_path)), Path(os.fsdecode(event.dest_path or ""))
        if isinstance(event, FileMovedEvent):
            self._tell(source, Kind.GONE)
            self._tell(target, Kind.MOVED)
        elif isinstance(event, FileDeletedEvent):
            self._tell(source, Kind.GONE)
        elif isinstance(event, FileClosedEvent):
            self._tell(source, Kind.CLOSED)
        elif isinstance(event, (FileCreatedEvent, FileModifiedEvent, FileAttribEvent)):
            self._tell(source, Kind.CHANGED)

    def _tell(self, path: Path, kind: Kind) -> None:
        if any(path == root or is_wanted(path, root) for root in self._roots):
            self._wake(path, kind)

    def _shortfall(self) -> list[Problem]:
        problems = []
        for root, (watch, _) in self._watches.items():
            if not watch.is_file and (missing := unwatched_folders(root)):
                what = f"{len(missing)} of its folders are not listened to: too few inotify watches"
                problems.append(Problem(root, what, _RAISE_THE_LIMIT))
        return problems


def _refusal(error: Exception, root: Path) -> Problem:
    if isinstance(error, OSError) and error.errno == errno.ENOSPC:
        return Problem(root, "this folder is not listened to: too few inotify watches", _RAISE_THE_LIMIT)
    if isinstance(error, OSError) and error.errno == errno.EMFILE:
        return Problem(
            root, "this folder is not listened to: too few inotify instances", _RAISE_THE_INSTANCES
        )
    if isinstance(error, OSError):
        return problem_of(error, root, "this folder cannot be listened to")
    return Problem(root, f"this folder cannot be listened to: {error}", f"Restart eyeline. {_SCAN_ONLY}")
