"""Which photos wait for an early verdict, and in whose company they are judged. Time is handed in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from eyeline.ledger.records import Photo
from eyeline.sitting.shot import seconds_of

COMPANY = 30
"""Photos of a folder that a new one is judged among: more than a look usually has (7 to 12), and few enough
to be judged in some hundredths of a second."""

MOST_FOLDERS = 4
"""Folders whose company is kept: more are not filled at a time, and a photo takes some 60 kB."""

EVERY_SECONDS = 0.5
"""A folder is judged at most so often: a card pours in ten photos a second, and each would cost as much."""


class EarlyVerdicts:
    """`judge` is called with the company and the paths of the new ones among it; `before`: photos that lay in
    a folder before the first new one came."""

    def __init__(
        self,
        judge: Callable[[Sequence[Photo], frozenset[Path]], None],
        before: Callable[[Path], Sequence[Photo]],
    ) -> None:
        self._judge = judge
        self._before = before
        self._company: dict[Path, list[Photo]] = {}
        self._new: dict[Path, dict[Path, None]] = {}
        self._judged_at_s: dict[Path, float] = {}

    def measured(self, photo: Photo) -> None:
        """A photo has been measured and waits for its verdict."""
        path = photo.frame.path
        company = self._company.pop(path.parent, None)
        if company is None:
            company = sorted(self._before(path.parent), key=_taken)[-COMPANY:]
        self._company[path.parent] = company  # the last one again
        company[:] = [each for each in company if each.frame.path != path]
        company.append(photo)
        self._new.setdefault(path.parent, {})[path] = None

    def tell_due(self, now_s: float) -> None:
        """Judge what is new in each folder in which nothing was judged for EVERY_SECONDS."""
        for folder in [*self._company][:-MOST_FOLDERS]:
            if folder not in self._new:
                del self._company[folder]
                self._judged_at_s.pop(folder, None)
        for folder in [*self._new]:
            if now_s - self._judged_at_s.get(folder, -EVERY_SECONDS) >= EVERY_SECONDS:
                self._judged_at_s[folder] = now_s
                new = frozenset(self._new.pop(folder))
                company = sorted(self._company[folder], key=_taken)
                kept = [each for each in company if each.frame.path not in new][-COMPANY:]
                self._company[folder] = [each for each in company if each.frame.path in new or each in kept]
                self._judge(self._company[folder], new)
                self._company[folder] = self._company[folder][-COMPANY:]

    def next_s(self) -> float | None:
        """When the next folder is due; None where nothing waits."""
        return min((self._judged_at_s.get(each, 0.0) + EVERY_SECONDS for each in self._new), default=None)


def _taken(photo: Photo) -> tuple[float, str]:
    return seconds_of(photo.frame.capture.taken_at) or 0.0, photo.frame.path.name
