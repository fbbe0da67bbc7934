"""Silence for native libraries that log straight to the terminal's file descriptor."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

STDERR = 2


@contextmanager
def quiet_native_logs() -> Iterator[None]:
    """Let nothing that C++ code prints to stderr through; Python's own errors still come as exceptions."""
    sys.stderr.flush()
    kept = os.dup(STDERR)
    silence = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(silence, STDERR)
        yield
    finally:
        os.dup2(kept, STDERR)
        os.close(kept)
        os.close(silence)
