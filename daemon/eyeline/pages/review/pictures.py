"""Small versions of the frames on the table: kept while measuring, else drawn once by a worker."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from pathlib import Path

from eyeline.errors import EyelineError
from eyeline.pages.review.spread import Laid
from eyeline.previews.drawing import Kind
from eyeline.previews.store import Previews
from eyeline.workers.draw import ToDraw

PATIENCE_SECONDS = 30.0
"""How long a picture is waited for: some RAW files take seconds, and measuring goes on meanwhile."""

MOST_WITHOUT = 5_000
"""Frames that are remembered as having no small version, so that none is tried over and over."""

Draw = Callable[[ToDraw], "Future[EyelineError | None]"]


class Pictures:
    """`draw`: has the small versions of one photo drawn. Threads may share it."""

    def __init__(self, previews: Previews, draw: Draw) -> None:
        self._previews = previews
        self._draw = draw
        self._under_way: dict[tuple[str, int], Future[EyelineError | None]] = {}
        self._without: OrderedDict[tuple[str, int], None] = OrderedDict()
        self._lock = threading.Lock()

    def file(self, laid: Laid, kind: Kind) -> Path | None:
        """Where the small version of that kind lies; None where there is none to be had."""
        frame = laid.frame
        name = frame.digest, frame.orientation
        found = self._previews.file(*name, kind)
        if found is not None or not self._previews.most_bytes or name in self._without:
            return found
        if kind is Kind.EYES and self._previews.file(*name, Kind.SMALL) is not None:
            return None  # nobody's eyes were found in it
        with self._lock:
            drawing = self._under_way.get(name)
            if drawing is None:
                drawing = self._under_way[name] = self._draw(ToDraw(frame, laid.points))
        with suppress(EyelineError, TimeoutError):  # a file that is gone or cannot be read has no picture
            drawing.result(PATIENCE_SECONDS)
        with self._lock:
            self._under_way.pop(name, None)
            found = self._previews.file(*name, kind)
            if found is None and drawing.done():
                self._without[name] = None
                while len(self._without) > MOST_WITHOUT:
                    self._without.popitem(last=False)
        return found
