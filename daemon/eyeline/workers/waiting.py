"""Photos that wait: those of the newest sitting are handed out first, since somebody waits for it."""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Callable, Iterator
from pathlib import Path

LIVE_NS = 60 * 10**9
"""Folders whose newest files are no farther apart than this have files coming in at the same time."""


class Waiting:
    """Photos that wait, folder by folder: that with the newest file first, in it as they came.

    So a card that arrives is not behind an archive that is being caught up with. Where files come into
    several folders at a time, that in which the fewest wait goes first: what a camera sends frame by frame
    is not behind a card that comes by the hundred, which nobody looks at meanwhile. Times of files are held
    against one another, never against a clock of this machine; folders of no times (0) go as they came.
    """

    def __init__(self) -> None:
        self._folders: dict[Path, deque[Path]] = {}
        self._newest_ns: dict[Path, int] = {}
        self._order: list[tuple[int, int, Path]] = []
        self._came = 0

    def __len__(self) -> int:
        return sum(map(len, self._folders.values()))

    def __iter__(self) -> Iterator[Path]:
        """All that wait, in no order."""
        return (path for folder in self._folders.values() for path in folder)

    def add(self, path: Path, mtime_ns: int) -> None:
        """`path`, last changed at `mtime_ns`, waits behind those of its folder."""
        folder = path.parent
        if folder not in self._folders or mtime_ns > self._newest_ns[folder]:
            self._newest_ns[folder] = max(mtime_ns, self._newest_ns.get(folder, mtime_ns))
            self._came += 1
            heapq.heappush(self._order, (-self._newest_ns[folder], self._came, folder))
        self._folders.setdefault(folder, deque()).append(path)

    def next(self, may_go: Callable[[Path], bool]) -> Path | None:
        """Take out the first photo that `may_go`; None where there is none."""
        seen: list[tuple[int, int, Path]] = []
        going: list[tuple[int, Path]] = []
        newest_ns = 0
        while self._order:
            entry = self._order[0]
            folder, ns = entry[2], -entry[0]
            if (
                folder not in self._folders or ns != self._newest_ns[folder]
            ):  # emptied, or it has a newer entry
                heapq.heappop(self._order)
                continue
            if going and not (newest_ns and newest_ns - ns <= LIVE_NS):
                break
            seen.append(heapq.heappop(self._order))
            if (path := next(filter(may_go, self._folders[folder]), None)) is not None:
                newest_ns = newest_ns or ns
                going.append((len(self._folders[folder]), path))
        found = min(going, key=lambda each: each[0])[1] if going else None
        if found is not None:
            waiting = self._folders[found.parent]
            waiting.remove(found)
            if not waiting:
                del self._folders[found.parent], self._newest_ns[found.parent]
        for entry in seen:
            if entry[2] in self._folders:
                heapq.heappush(self._order, entry)
        return found

    def clear(self) -> None:
        """Let all go."""
        self._folders.clear()
        self._newest_ns.clear()
        self._order.clear()
