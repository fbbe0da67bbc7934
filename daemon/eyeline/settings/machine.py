"""How many photos this machine can measure at once: processors, and memory at hand."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

USUAL_WORKER_BYTES = 800_000_000
"""What a worker needs for most photos: a JPEG of 60 megapixels (7 bytes a pixel) beside models and code
(0.3 GB)."""

LARGEST_WORKER_BYTES = 2_500_000_000
"""What a worker may take for the largest picture that is decoded (`reading.stream.DECODING_BYTES`)."""

CONTROL_GROUP = Path("/sys/fs/cgroup")
"""Where a container sees its own limits (Linux, control groups version 2, memory.max and memory.current)."""


def default_workers() -> int:
    """One worker a processor that this process may use, as far as memory at hand allows."""
    may_use = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(may_use, memory_at_hand() // USUAL_WORKER_BYTES))


def memory_of_each(workers: int) -> int:
    """Bytes that each of so many workers may take at the same time: its share of what is at hand."""
    return max(USUAL_WORKER_BYTES, min(LARGEST_WORKER_BYTES, memory_at_hand() // max(1, workers)))


def memory_at_hand(meminfo: Path = Path("/proc/meminfo"), group: Path = CONTROL_GROUP) -> int:
    """Bytes that programs may still take without pushing others out, as the system reckons it.

    On Linux MemAvailable (proc_meminfo(5)), or less where the container's limit says so; elsewhere half of
    all memory.
    """
    at_hand = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") // 2
    with suppress(OSError, ValueError, KeyError):
        rows = dict(line.split(":", 1) for line in meminfo.read_text().splitlines())
        at_hand = 1024 * int(rows["MemAvailable"].split()[0])
    with suppress(OSError, ValueError):  # no such limit, or the word "max"
        limit = int((group / "memory.max").read_text())
        at_hand = min(at_hand, max(0, limit - int((group / "memory.current").read_text())))
    return at_hand
