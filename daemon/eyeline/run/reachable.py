"""Do the watched folders answer? Each is asked in a thread of its own, so that none holds up the others."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from threading import Thread

from eyeline.intake.roots import outermost, resolved, root_of

SOON_SECONDS = 1.0
"""In which a folder that is well answers: a server far away takes a tenth of it."""

PATIENCE_SECONDS = 10.0
"""Silence that is reported: longer than a sleeping disk takes to spin up."""


def roots_of(paths: Iterable[Path], ask: Callable[[Path], object] = resolved) -> tuple[Path, ...]:
    """The outermost of `paths`. One that does not answer within PATIENCE_SECONDS stands as it is named."""
    questions = [
        (path.absolute(), Thread(target=ask, args=(path,), name="eyeline-reachable", daemon=True))
        for path in paths
    ]
    for _, question in questions:
        question.start()
    until_s = time.monotonic() + PATIENCE_SECONDS
    for _, question in questions:
        question.join(max(0.0, until_s - time.monotonic()))
    silent = dict.fromkeys(path for path, question in questions if question.is_alive())
    return (*outermost(path for path, _ in questions if path not in silent), *silent)


class Reachable:
    """Which of `roots` answer. `ask` is what hangs where a network folder's server is silent; statvfs(2)
    asks the server itself, while the status of a file may come from a cache.
    """

    def __init__(self, roots: Iterable[Path], ask: Callable[[Path], object] = os.statvfs) -> None:
        self._roots = tuple(roots)
        self._ask = ask
        self._asked: dict[Path, tuple[float, Thread]] = {}
        self._silent: frozenset[Path] = frozenset()
        self._missed = set(self._roots)

    def renew(self, now_s: float) -> None:
        """Ask every folder again that has answered, and give it SOON_SECONDS to do so; a folder that is well
        takes some microseconds, and one that is silent holds up only the call that finds it so."""
        asked = []
        for root in self._roots:
            if root not in self._asked or not self._asked[root][1].is_alive():
                question = Thread(target=self._question, args=(root,), name="eyeline-reachable", daemon=True)
                self._asked[root] = now_s, question
                question.start()
                asked.append(question)
        until_s = time.monotonic() + SOON_SECONDS
        for question in asked:
            question.join(max(0.0, until_s - time.monotonic()))

    def answers(self, path: Path) -> bool:
        """Whether the folder that `path` lies in answered when it was asked last."""
        root = root_of(path, self._roots)
        return root is None or root not in self._asked or not self._asked[root][1].is_alive()

    def silent(self, now_s: float) -> frozenset[Path]:
        """The folders that have not answered for PATIENCE_SECONDS."""
        return frozenset(root for root in self._roots if self._silence_s(root, now_s) >= PATIENCE_SECONDS)

    def fallen_silent(self, now_s: float) -> frozenset[Path]:
        """The folders that have become `silent` since the last call."""
        before, self._silent = self._silent, self.silent(now_s)
        self._missed |= self._silent
        return self._silent - before

    def back(self) -> frozenset[Path]:
        """The folders that answer for the first time, or again after they were `silent`; each once."""
        back = frozenset(root for root in self._missed if self.answers(root))
        self._missed -= back
        return back

    def _silence_s(self, root: Path, now_s: float) -> float:
        """How long an answer has been waited for; 0 where none is."""
        if root not in self._asked:
            return 0.0
        asked_s, question = self._asked[root]
        return now_s - asked_s if question.is_alive() else 0.0

    def _question(self, root: Path) -> None:
        with suppress(OSError, ValueError):  # "it is not there" is an answer too
            self._ask(root)
