"""One delivery at a time, in a thread of its own: started, followed, stopped.

It writes no sidecar. The files that it delivers are kept in the ledger, which threads may share.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.errors import EyelineError, unforeseen
from eyeline.run.delivered import Delivered
from eyeline.run.delivery_again import MeasureAgain
from eyeline.run.delivery_order import Order, Outcome, carry_out
from eyeline.run.delivery_plan import DeliveryPlan


class Phase(StrEnum):
    """How far a delivery is."""

    NONE = "none"
    PLANNING = "planning"
    MAKING = "making"
    STOPPED = "stopped"
    FAILED = "failed"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class Progress:
    """A delivery at one moment. `problem`: why it ended early, "" where it did not."""

    phase: Phase = Phase.NONE
    order: Order | None = None
    plan: DeliveryPlan | None = None
    done: tuple[Delivered, ...] = ()
    archive: Path | None = None
    earlier: tuple[Path, ...] = ()
    problem: str = ""
    is_stopping: bool = False

    @property
    def is_under_way(self) -> bool:
        """Whether files are being made, or worked out."""
        return self.phase in (Phase.PLANNING, Phase.MAKING)


class Busy(EyelineError):
    """A delivery is under way; another waits until somebody asks again."""


class DeliveryJob:
    """`decider`: the one in force. `changed`: called when there is news. Threads may share it."""

    def __init__(
        self, decider: Callable[[], Decider], measure_again: MeasureAgain, changed: Callable[[], None]
    ) -> None:
        self._decider = decider
        self._measure_again = measure_again
        self._changed = changed
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self.progress = Progress()

    def start(self, order: Order) -> None:
        """Begin to carry out `order`. Raises Busy, and BadConfiguration for an order that cannot be."""
        decider = self._decider()
        order.check(decider.configuration, decider.roots)
        with self._lock:
            if self.progress.is_under_way:
                raise Busy("a delivery is under way", order.out, "Wait for its end, or stop it")
            self.progress = Progress(Phase.PLANNING, order)
            self._thread = threading.Thread(target=self._run, args=(order,), name="delivery", daemon=True)
            self._thread.start()
        self._changed()

    def stop(self) -> None:
        """Have no other file begun; what is in hand is finished."""
        with self._lock:
            if self.progress.is_under_way:
                self.progress = replace(self.progress, is_stopping=True)
        self._changed()

    def close(self) -> None:
        """Stop, and wait until it has."""
        self.stop()
        if self._thread is not None:
            self._thread.join()

    def _run(self, order: Order) -> None:
        def planned(plan: DeliveryPlan) -> None:
            self._note(phase=Phase.MAKING, plan=plan)

        def made(delivered: Delivered) -> None:
            self._note(done=(*self.progress.done, delivered))

        try:
            outcome = carry_out(
                self._decider(),
                order,
                self._measure_again,
                planned,
                made,
                lambda: self.progress.is_stopping,
            )
            self._end(outcome)
        except EyelineError as error:
            self._note(phase=Phase.FAILED, problem=str(error))
        except Exception as error:  # a fault of eyeline's own costs this delivery, and the daemon goes on
            self._note(phase=Phase.FAILED, problem=str(unforeseen(error, order.out)))

    def _end(self, outcome: Outcome) -> None:
        phase = Phase.STOPPED if self.progress.is_stopping else Phase.DONE
        self._note(
            phase=phase,
            plan=outcome.plan,
            done=outcome.done,
            archive=outcome.archive,
            earlier=outcome.earlier,
        )

    def _note(self, **news: object) -> None:
        with self._lock:
            self.progress = replace(self.progress, **news)  # type: ignore[arg-type]
        self._changed()
