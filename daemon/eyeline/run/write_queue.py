"""Which folders wait for their photos to be judged and written. Pure: time is handed in.

Programs read a sidecar once, when they meet its photo; so a sitting is written when it is over, not photo by
photo, and photos of a sitting are judged beside each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Waiting:
    """Since when a folder waits, and when its latest photo came; seconds of one monotonic clock."""

    since_s: float
    latest_s: float


class WriteQueue:
    """A folder is due when no photo has come for `quiet_s`, or `longest_s` after its first."""

    def __init__(self, quiet_s: float, longest_s: float) -> None:
        self._quiet_s = quiet_s
        self._longest_s = longest_s
        self._waiting: dict[Path, Waiting] = {}

    def __len__(self) -> int:
        """Folders that wait."""
        return len(self._waiting)

    def noticed(self, folder: Path, now_s: float) -> None:
        """A photo has come into `folder`."""
        waiting = self._waiting.get(folder)
        self._waiting[folder] = Waiting(now_s if waiting is None else waiting.since_s, now_s)

    def expect(self, folder: Path, now_s: float) -> None:
        """Something is to be written in `folder`; one that waits already does not wait longer for it."""
        self._waiting.setdefault(folder, Waiting(now_s, now_s))

    def stood_still(self, seconds: float) -> None:
        """The machine did for so long: no photo could come in that time, so it says nothing of a pause."""
        for folder, waiting in self._waiting.items():
            self._waiting[folder] = Waiting(waiting.since_s, waiting.latest_s + seconds)

    def due(self, now_s: float) -> list[Path]:
        """The folders to be written now, in the order in which they began to wait."""
        return [
            folder
            for folder, waiting in self._waiting.items()
            if now_s - waiting.latest_s >= self._quiet_s or now_s - waiting.since_s >= self._longest_s
        ]

    def all(self) -> list[Path]:
        """Every folder that waits."""
        return list(self._waiting)

    def take(self, folder: Path) -> Waiting:
        """Take `folder` out, to write it. Raises KeyError where it does not wait."""
        return self._waiting.pop(folder)

    def put_back(self, folder: Path, waiting: Waiting) -> None:
        """Let `folder` wait on as before: it could not be written, or not wholly."""
        newer = self._waiting.get(folder)
        latest_s = waiting.latest_s if newer is None else max(waiting.latest_s, newer.latest_s)
        self._waiting[folder] = Waiting(waiting.since_s, latest_s)
