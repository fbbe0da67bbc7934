"""Corrections made on a page: handed to the one who writes, each step kept so that it can be undone."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path
from typing import TypeVar

from eyeline.deciding.correct import Correction, Step, make
from eyeline.deciding.decide import Decider
from eyeline.deciding.take_back_step import undo_step
from eyeline.errors import EyelineError
from eyeline.ledger.records import Photo
from eyeline.pages.review.own_hands import formats_of, photo_of
from eyeline.pages.review.spread import Laid, Part

T = TypeVar("T")

Ask = Callable[[Callable[[], T]], "Future[T]"]
"""Has something done in the thread that writes sidecars."""

PATIENCE_SECONDS = 30.0
"""How long a page waits for its turn: ExifTool's own deadline (exiftool/child.py)."""

MOST_STEPS = 1_000
"""Steps that can be undone, over all frames: a day's corrections, some 10 kB each."""


class Corrections:
    """`ask`: as `Daemon.ask`. `decider`: the one in force. Threads may share it."""

    def __init__(self, ask: Ask[Step | None], decider: Callable[[], Decider]) -> None:
        self._ask = ask
        self._decider = decider
        self._steps: deque[tuple[Path, Step]] = deque(maxlen=MOST_STEPS)
        self._lock = threading.Lock()

    def make(self, part: Part, laid: Laid, correction: Correction, state: str) -> Step:
        """Write `correction`, made on `state`. Raises what `deciding.correct.make` raises."""
        files, formats, verdict = self._files(laid), formats_of(part), part.verdict(laid)

        def do() -> Step:
            return make(self._decider(), files, verdict, correction, state, formats)

        step = self._done(do, laid.path)
        assert step is not None
        if step.before != step.after:
            with self._lock:
                self._steps.append((laid.path, step))
        return step

    def undo(self, part: Part, laid: Laid) -> Step | None:
        """Undo the last step on `laid`, and return it; None where there is none. Raises as `make`."""
        step = self.last(laid)
        if step is None:
            return None
        formats, verdict = formats_of(part), part.verdict(laid)
        self._done(lambda: undo_step(self._decider(), step, verdict, formats), laid.path)
        with self._lock:
            self._steps.remove((laid.path, step))
        return step

    def last(self, laid: Laid) -> Step | None:
        """The last step on `laid` that is not undone."""
        with self._lock:
            return next((step for path, step in reversed(self._steps) if path == laid.path), None)

    def _done(self, do: Callable[[], Step | None], path: Path) -> Step | None:
        try:
            return self._ask(do).result(PATIENCE_SECONDS)
        except TimeoutError as error:
            raise EyelineError(
                "eyeline is busy and has not written this yet", path, "Look at the frame again in a minute"
            ) from error

    def _files(self, laid: Laid) -> list[Photo]:
        """All files of its exposure, itself first."""
        found = [photo_of(laid)]
        for path in laid.files[1:]:
            photo = self._decider().ledger.photos.at(path)
            if photo is not None:
                found.append(photo)
        return found
