"""Photos that wait: those of the newest sitting are handed out first, since somebody waits for it."""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Callable, Iterator
from pathlib import Path


class Waiting:
    """Photos that wait, folder by folder: that with the newest file first, in it as they came.

    So a card that arrives is not behind an archive that is being caught up with. Times of files are held
    against one another, never against a clock of this machine; folders of equal times go as they came.
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
        passed_over = []
        found: Path | None = None
        while self._order and found is None:
            entry = self._order[0]
            folder = entry[2]
            waiting = self._folders.get(folder)
            if waiting is None or -entry[0] != self._newest_ns[folder]:  # emptied, or it has a newer entry
                heapq.heappop(self._order)
            elif (found := next(filter(may_go, waiting), None)) is None:
                passed_over.append(heapq.heappop(self._order))
            else:
                waiting.remove(found)
                if not waiting:
                    heapq.heappop(self._order)
                    del self._folders[folder], self._newest_ns[folder]
        for entry in passed_over:
            heapq.heappush(self._order, entry)
        return found

    def clear(self) -> None:
        """Let all go."""
        self._folders.clear()
        self._newest_ns.clear()
        self._order.clear()
