"""What measures photos, wherever it does: the processes of this machine, or stations elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Future
from pathlib import Path
from types import TracebackType
from typing import Protocol, Self

from eyeline.errors import EyelineError
from eyeline.previews.store import Previews
from eyeline.terms.frame import Frame
from eyeline.terms.measurement import Measurement
from eyeline.workers.draw import ToDraw
from eyeline.workers.examine import Examined


class LetGo(EyelineError):
    """Nobody measured this photo before eyeline stopped; the next start takes it up."""


class Engine(Protocol):
    """Identifies and measures photos at the same time as its caller goes on.

    Every Future ends: with the answer, or with what `pool.outcome` makes an error of for this one photo. A
    photo that costs a worker its life, its time or its memory ends as WorkerLost and no other does.
    """

    @property
    def at_once(self) -> int:
        """How many photos are measured at the same time, at least 1; may change from moment to moment."""

    def expect(self, photos: int) -> None:
        """Prepare for `photos` that wait."""

    def identify(self, path: Path, alone: bool = False) -> Future[Frame]:
        """Tell which frame `path` is. `alone`: no other photo is in hand, so it may take more memory."""

    def examine(self, frame: Frame, alone: bool = False, plug_ins: bool = True) -> Future[Examined]:
        """Measure `frame`, by the measures of `plug_ins` as well."""

    def measure(self, path: Path, plug_ins: bool = True) -> Future[Examined]:
        """Tell which frame `path` is and measure it: both in one task, which costs less than two."""

    def draw(self, photo: ToDraw, previews: Previews) -> Future[EyelineError | None]:
        """Draw the small versions of a photo that was measured before."""

    def measure_again(self, path: Path, every: bool) -> Future[Mapping[str, Measurement]]:
        """Measure a delivered file of this machine, by `every` measure or by those that were promised."""

    def let_go(self) -> None:
        """Have what nobody measures yet end as LetGo, since eyeline is about to stop."""

    def close(self) -> None:
        """End; what is in hand is dropped (nothing of it has been written)."""

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None: ...
