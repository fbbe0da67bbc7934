"""Waiting for what another thread or process does, with one patience for all of the suite."""

from __future__ import annotations

import time
from collections.abc import Callable

PATIENCE_SECONDS = 240.0
"""For what must happen, on a machine that is loaded and stalls; what happens costs no more than it takes."""

LOOK_SECONDS = 0.05


def wait_until(holds: Callable[[], object], every_seconds: float = LOOK_SECONDS) -> None:
    """Return as soon as `holds` does; it is asked so often. Raises AssertionError after PATIENCE_SECONDS."""
    end = time.monotonic() + PATIENCE_SECONDS
    while not holds():
        assert time.monotonic() < end, "it did not happen in time"
        time.sleep(every_seconds)
