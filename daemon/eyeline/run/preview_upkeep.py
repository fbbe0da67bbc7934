"""Small versions while photos are measured: within their bound, and a problem with them told once."""

from __future__ import annotations

from collections.abc import Callable

from eyeline.errors import EyelineError
from eyeline.previews.store import Bound, Previews
from eyeline.workers.examine import Examined


class PreviewUpkeep:
    """Hears of each photo that a worker measured; `problem` is called once, however many it concerns."""

    def __init__(self, previews: Previews, problem: Callable[[EyelineError], None]) -> None:
        self._bound = Bound(previews)
        self._problem = problem
        self._told = False

    def heard(self, examined: Examined) -> None:
        """A worker measured a photo. Raises LedgerFailed where its problem cannot be kept."""
        self._bound.grew(examined.preview_bytes)
        if examined.preview_problem is not None and not self._told:
            self._problem(examined.preview_problem)
            self._told = True
