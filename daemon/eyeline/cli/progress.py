"""Progress on a terminal, silence in a pipe."""

from __future__ import annotations

from types import TracebackType

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeRemainingColumn
from rich.progress import Progress as Bars


class Progress:
    """Two bars: photos measured, sidecars settled. Nothing is shown where `console` is no terminal."""

    def __init__(self, console: Console) -> None:
        self._bars = Bars(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            TimeRemainingColumn(),
            console=console,
            disable=not console.is_terminal or console.is_dumb_terminal,
            transient=True,
        )
        self._found = 0
        self._measured = self._bars.add_task("measuring", total=None)
        self._written = self._bars.add_task("writing", total=None)

    def found(self, photos: int) -> None:
        """So many more photos there are."""
        self._found += photos
        self._bars.update(self._measured, total=self._found)
        self._bars.update(self._written, total=self._found)

    def measured(self, photos: int = 1) -> None:
        """So many more are measured."""
        self._bars.advance(self._measured, photos)

    def written(self, photos: int = 1) -> None:
        """So many more are decided, and written where that was asked for."""
        self._bars.advance(self._written, photos)

    def __enter__(self) -> Progress:
        self._bars.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._bars.stop()
