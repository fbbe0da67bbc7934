"""Which photos wait for an early verdict, and in whose company they are judged. Time is handed in."""

from __future__ import annotations

import time
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

MOST_SHARE = 0.2
"""Share of the processor's time that early verdicts may take: among thousands of frames each takes long."""


class EarlyVerdicts:
    """`judge` is called with the company and the paths of the new ones among it; `before`: photos that lay in
    a folder before the first new one came; `clock`: tells how much of the processor's time judging takes, of
    which a machine that stands still meanwhile says nothing."""

    def __init__(
        self,
        judge: Callable[[Sequence[Photo], frozenset[Path]], None],
        before: Callable[[Path], Sequence[Photo]],
        clock: Callable[[], float] = time.thread_time,
    ) -> None:
        self._judge = judge
        self._before = before
        self._company: dict[Path, list[Photo]] = {}
        self._new: dict[Path, dict[Path, None]] = {}
        self._clock = clock
        self._due_s: dict[Path, float] = {}

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
        """Judge what is new in each folder that is due."""
        for folder in [*self._company][:-MOST_FOLDERS]:
            if folder not in self._new:
                del self._company[folder]
                self._due_s.pop(folder, None)
        for folder in [*self._new]:
            if now_s >= self._due_s.get(folder, now_s):
                new = frozenset(self._new.pop(folder))
                photos = sorted(self._company[folder], key=_taken)
                before = [each for each in photos if each.frame.path not in new][-COMPANY:]
                kept = {each.frame.path for each in before} | new
                company = [each for each in photos if each.frame.path in kept]
                self._company[folder] = company[-COMPANY:]
                began_s = self._clock()
                self._judge(company, new)
                took_s = self._clock() - began_s
                self._due_s[folder] = now_s + max(EVERY_SECONDS, took_s / MOST_SHARE)

    def next_s(self) -> float | None:
        """When the next folder is due; None where nothing waits."""
        return min((self._due_s.get(each, 0.0) for each in self._new), default=None)


def _taken(photo: Photo) -> tuple[float, str]:
    return seconds_of(photo.frame.capture.taken_at) or 0.0, photo.frame.path.name
