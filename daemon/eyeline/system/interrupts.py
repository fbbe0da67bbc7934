"""Ctrl-C (SIGINT), held back where it would do harm."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def interrupts_held() -> Iterator[None]:
    """Hold SIGINT back in this thread, and in whatever threads and processes it starts meanwhile.

    One that came is delivered at the end, in this thread.
    """
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
