"""Delivery: each planned file is rendered, checked, measured again, and put in its place whole."""

from __future__ import annotations

import errno
import os
from collections import deque
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from eyeline.deciding.decide import Decider
from eyeline.delivery.specification import Specification
from eyeline.errors import EyelineError, LedgerFailed, unforeseen
from eyeline.run.delivered import Delivered
from eyeline.run.delivery_again import MeasureAgain, compared
from eyeline.run.delivery_item import FileToMake
from eyeline.run.delivery_plan import DeliveryPlan
from eyeline.run.delivery_write import Held, made, put_in_place
from eyeline.terms.measurement import Measurement
from eyeline.workers.pool import outcome

T = TypeVar("T")

AHEAD = 4
"""Files that wait to be measured again while the next are rendered."""

NO_MORE = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO})
"""What ends the delivery: the disk is full or cannot be written, so no other file can be either."""


@dataclass(frozen=True, slots=True)
class _Waiting:
    held: Held
    again: Future[Mapping[str, Measurement]] | None


@dataclass(frozen=True, slots=True)
class Delivering:
    """What a delivery works with. `stopped`: asked before each file; where it says so, no other is begun."""

    decider: Decider
    specification: Specification
    out: Path
    measure_again: MeasureAgain
    dry_run: bool = False
    stopped: Callable[[], bool] = lambda: False


def deliver(job: Delivering, plan: DeliveryPlan) -> Iterator[Delivered]:
    """Make the files of `plan`; yields what became of each, in their order.

    Originals and finals are opened to read only. Raises EyelineError where the target cannot be written, when
    what was made before has its name.
    """
    if not job.dry_run:
        _prepare(job.out)
    waiting: deque[_Waiting] = deque()
    try:
        for file in plan.files:
            if job.stopped():
                break
            try:
                waiting.append(_begun(job, file))
            except EyelineError:
                while waiting:
                    yield _finished(job, waiting.popleft())
                raise
            if len(waiting) > AHEAD:
                yield _finished(job, waiting.popleft())
        while waiting:
            yield _finished(job, waiting.popleft())
    finally:
        for each in waiting:
            each.held.drop()


def _prepare(out: Path) -> None:
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        what = f"the target folder cannot be made ({error.strerror})"
        raise EyelineError(what, out, "Name a folder that you may write") from error
    if not os.access(out, os.W_OK | os.X_OK):
        raise EyelineError("the target folder is read-only", out, "Name a folder that you may write")


def _begun(job: Delivering, file: FileToMake) -> _Waiting:
    """`file` as far as it is known before it is measured. Raises EyelineError where no file can be made."""
    target = job.out / file.name

    def work() -> _Waiting:
        held = made(job.decider.ledger.deliveries, file, job.specification, job.out, job.dry_run)
        unnamed = held.unnamed
        return _Waiting(held, job.measure_again(unnamed, bool(file.caution)) if unnamed is not None else None)

    found = _told(work, target, file.source.path)
    if isinstance(found, str):
        return _Waiting(Held(Delivered(file, target, "not made", found)), None)
    return found


def _finished(job: Delivering, waiting: _Waiting) -> Delivered:
    """What became of a file, with what it measures by its own pixels."""
    held, delivered = waiting.held, waiting.held.delivered
    try:
        if waiting.again is not None:
            answer = outcome(delivered.target, waiting.again)
            if isinstance(answer, EyelineError):
                delivered = replace(delivered, said=(*delivered.said, f"not measured again: {answer.what}"))
            else:
                delivered = compared(job.decider, delivered, answer)

        def work() -> Delivered:
            return put_in_place(job.decider.ledger.deliveries, held, delivered, job.out)

        found = _told(work, delivered.target, delivered.target)
        return replace(delivered, state="not made", problem=found) if isinstance(found, str) else found
    finally:
        held.drop()


def _told(work: Callable[[], T], target: Path, path: Path) -> T | str:
    """What `work` comes to, or why not. Raises EyelineError for what ends the whole delivery."""
    try:
        return work()
    except OSError as error:
        if error.errno in NO_MORE:
            what = f"the target cannot be written ({error.strerror}); what is there is whole"
            raise EyelineError(what, target, "Free some space, then do the same again: it goes on") from error
        return f"it cannot be written ({error.strerror or error})"
    except LedgerFailed:
        raise
    except EyelineError as error:
        return str(error)
    except Exception as error:  # whatever it is: one file's, and the others go on
        return str(unforeseen(error, path))
