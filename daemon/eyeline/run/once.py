"""One pass over files and folders."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from eyeline.errors import EyelineError, UnreadablePhoto
from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.problem import Problem as IntakeProblem
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome, Photo, State
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.run.session import Session
from eyeline.workers.ingest import Answer


@dataclass(frozen=True, slots=True)
class Listener:
    """Whom a pass tells how far it is: how many photos there are, each that is measured, each decision."""

    found: Callable[[int], None]
    measured: Callable[[Path], None]
    decided: Callable[[Photo, Decision], None]


def run_once(session: Session, paths: Sequence[Path], listener: Listener) -> int:
    """Measure what is new under `paths` or was measured by another version, judge everything there, write
    what follows.

    Returns how many photos could not be read, or what follows not be written; each is in the ledger and has
    been told.
    """
    failures = 0
    candidates: list[Candidate] = []
    for found in catch_up(paths):
        if isinstance(found, IntakeProblem):
            failures += 1
            session.decider.problem(EyelineError(found.what, found.path, found.cure))
        else:
            candidates.append(found)
    listener.found(len(candidates))

    def failed(path: Path, error: EyelineError) -> None:
        nonlocal failures
        failures += 1
        session.ledger.files.set_aside(path, str(error), datetime.now(UTC))
        session.decider.problem(
            error if error.file is not None else UnreadablePhoto(error.what, path, error.cure)
        )
        listener.measured(path)

    ingest = session.ingest(lambda photo: listener.measured(photo.frame.path), failed)
    for candidate in candidates:
        if _wants_another_try(session.ledger, candidate.path):
            session.ledger.files.again(candidate.path, datetime.now(UTC))
        if not ingest.take(candidate.path, candidate.look):
            listener.measured(candidate.path)
    while len(ingest):
        answer = session.answers.get()
        assert isinstance(answer, Answer)
        ingest.receive(answer)

    photos = [photo for each in candidates if (photo := session.ledger.photos.at(each.path)) is not None]
    for photo, decision in session.decider.decide(photos):
        failures += decision.outcome is Outcome.REFUSED
        listener.decided(photo, decision)
    return failures


def _wants_another_try(ledger: Ledger, path: Path) -> bool:
    """Whether the file could not be read before, or its measures are of another edition."""
    known = ledger.files.known(path)
    if known is None:
        return False
    if known.state in (State.SET_ASIDE, State.POSTPONED):
        return True
    return ledger.photos.edition_at(path) not in (None, MEASURES_EDITION)
