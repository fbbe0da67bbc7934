"""Processor time of a running eyeline by process: the daemon, what it started, what those started."""

from __future__ import annotations

import subprocess
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import psutil

PAUSE_S = 0.5
"""Between two looks; what a process used after the last look at it is not seen."""

DAEMON, ITS_EXIFTOOL, SCHEDULER, STATION, WORKERS, THEIR_EXIFTOOL, OTHERS = PARTS = (
    "daemon", "its ExifTool", "scheduler", "station", "workers", "their ExifTool", "others",
)  # fmt: skip


@dataclass(slots=True)
class Watched:
    """What was seen of a run over so many `photos`, which took `wall_s` by the clock.

    `looks`: moments, in seconds since its start, and processor seconds of each part by then.
    """

    photos: int = 0
    wall_s: float = 0.0
    looks: list[tuple[float, Mapping[str, float]]] = field(default_factory=list)

    @property
    def used_s(self) -> Mapping[str, float]:
        """Processor seconds of each part in all."""
        return self.looks[-1][1] if self.looks else {}


def watch(process: subprocess.Popen[str], photos: int) -> Watched:
    """Look at `process` and all that it started until it ends."""
    watched = Watched(photos)
    start = time.perf_counter()
    root = psutil.Process(process.pid)
    parts: dict[psutil.Process, str] = {}
    used_s: dict[psutil.Process, float] = {}
    while process.poll() is None:
        for each in _family(root):
            try:
                if parts.get(each, OTHERS) == OTHERS:
                    parts[each] = _part(each, root)
                times = each.cpu_times()
            except psutil.Error:
                continue
            used_s[each] = times.user + times.system
        sums: Counter[str] = Counter()
        for each, seconds in used_s.items():
            sums[parts[each]] += seconds
        watched.looks.append((time.perf_counter() - start, dict(sums)))
        try:
            process.wait(PAUSE_S)
        except subprocess.TimeoutExpired:
            continue
    watched.wall_s = time.perf_counter() - start
    return watched


def more_ms(few: Watched, many: Watched) -> dict[str, float]:
    """Milliseconds a photo of each part, for the photos that `many` has more than `few`."""
    photos = many.photos - few.photos
    return {
        part: 1000 * (many.used_s[part] - few.used_s.get(part, 0.0)) / photos
        for part in PARTS
        if part in many.used_s
    }


def lines(few: Watched, many: Watched) -> list[str]:
    """What a photo costs in each part, and how many processors that keeps busy; then how many were busy in
    each tenth of `many`."""
    photos_per_ms = (many.photos - few.photos) / (1000 * (many.wall_s - few.wall_s))
    costs = [f"{part} {ms:.1f} ms = {ms * photos_per_ms:.2f}" for part, ms in more_ms(few, many).items()]
    found = [f"  a photo, and processors that are busy with it: {', '.join(costs)}"]
    for part in (DAEMON, WORKERS):
        tenths = " ".join(f"{each:.1f}" for each in _busy(many, part, 10))
        found.append(f"  {part}, processors busy by tenths of {many.wall_s:.1f} s: {tenths}")
    return found


def _family(root: psutil.Process) -> Sequence[psutil.Process]:
    try:
        return [root, *root.children(recursive=True)]
    except psutil.Error:
        return []


def _part(process: psutil.Process, root: psutil.Process) -> str:
    """Which part of eyeline a process is, by its command and by whose child it is."""
    if process == root:
        return DAEMON
    words = process.cmdline()
    if any(word.endswith("exiftool") for word in words):
        return ITS_EXIFTOOL if process.ppid() == root.pid else THEIR_EXIFTOOL
    if "workers" in words:
        return SCHEDULER if "scheduler" in words else STATION
    return WORKERS if "--multiprocessing-fork" in words else OTHERS


def _busy(watched: Watched, part: str, count: int) -> list[float]:
    """Processors that `part` kept busy, in each of `count` equal spans of the run."""
    moments = [0.0] + [moment for moment, _ in watched.looks]
    used = [0.0] + [seconds.get(part, 0.0) for _, seconds in watched.looks]
    span_s = watched.wall_s / count
    at = [_between(moments, used, number * span_s) for number in range(count + 1)]
    return [(after - before) / span_s for before, after in pairwise(at)]


def _between(moments: Sequence[float], used: Sequence[float], moment: float) -> float:
    """Processor seconds used by `moment`, in a straight line between two looks."""
    for number in range(1, len(moments)):
        if moments[number] >= moment:
            share = (moment - moments[number - 1]) / max(1e-9, moments[number] - moments[number - 1])
            return used[number - 1] + share * (used[number] - used[number - 1])
    return used[-1]
