"""A deadline for one call after another, kept by one thread where timers would start one for each call."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager


class Watch:
    """Calls `late`, from a thread of its own, when what goes on inside `within` takes longer than it may.

    For one call at a time. The thread starts with the first and sleeps until the deadline of a call, so that
    calls which end in time hardly ever wake it; it ends with `close`.
    """

    def __init__(self, late: Callable[[], None]) -> None:
        self._late = late
        self._changed = threading.Condition()
        self._due_s: float | None = None
        self._wakes_s: float | None = None
        self._thread: threading.Thread | None = None
        self._closed = False

    @contextmanager
    def within(self, deadline_s: float) -> Iterator[None]:
        """Something that may take `deadline_s` seconds."""
        due_s = time.monotonic() + deadline_s
        with self._changed:
            self._due_s = due_s
            if self._thread is None:
                self._thread = threading.Thread(target=self._watch, name="exiftool-deadline", daemon=True)
                self._thread.start()
            elif self._wakes_s is None or self._wakes_s > due_s:
                self._changed.notify()
        try:
            yield
        finally:
            with self._changed:
                self._due_s = None

    def close(self) -> None:
        """End the thread."""
        with self._changed:
            self._closed = True
            self._changed.notify()

    def _watch(self) -> None:
        with self._changed:
            while not self._closed:
                now_s = time.monotonic()
                if self._due_s is not None and self._due_s <= now_s:
                    self._due_s = None
                    self._late()
                self._wakes_s = self._due_s
                self._changed.wait(None if self._due_s is None else self._due_s - now_s)
