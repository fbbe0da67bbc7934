"""Whether ledger and watched folders are as they should be; what failed is told, waited for, and taken up."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from eyeline.errors import EyelineError, LedgerFailed
from eyeline.ledger.records import Problem
from eyeline.run.outage import Outage
from eyeline.run.reachable import Reachable
from eyeline.run.session import Session
from eyeline.run.ticks import Tick

NO_ANSWER = "this folder does not answer"
NO_ANSWER_CURE = "Is its server on? Everything else goes on; its photos follow when it answers again"


@dataclass(slots=True)
class Surroundings:
    """What a daemon's `session` stands on. `outage`: of the ledger."""

    session: Session
    outage: Outage = field(default_factory=Outage)
    _reachable: Reachable = field(init=False)

    def __post_init__(self) -> None:
        self._reachable = Reachable(self.session.decider.roots)

    def answers(self, path: Path) -> bool:
        """Whether the folder of `path` answered at the last look."""
        return self._reachable.answers(path)

    def answers_now(self, path: Path) -> bool:
        """Whether it answers at this moment."""
        self.renew()
        return self._reachable.answers(path)

    def renew(self) -> None:
        """Ask every folder whether it answers."""
        self._reachable.renew(time.monotonic())

    def ledger_fails(self, error: LedgerFailed) -> None:
        """Note that the ledger cannot be written, and tell it once."""
        if self.outage.begin(error):
            self.session.decider.tell_problem(Problem.of(error, datetime.now(UTC)))

    def look(self, listens_elsewhere: bool) -> None:
        """See whether all is well again, and put what had to wait into the mailbox; with a wish to catch up
        where something may have been missed, as where the daemon `listens_elsewhere`. Raises LedgerFailed."""
        session, now_s = self.session, time.monotonic()
        self._reachable.renew(now_s)
        # Before a scan is asked for, which would find their files unmeasured.
        for message in self.outage.take_up():
            session.answers.put(message)
        if self.outage.error is None:
            session.ledger.stay_in_place()
        else:
            session.ledger.try_writing()  # raises while it cannot be written
            session.decider.record(Problem.of(self.outage.error, datetime.now(UTC)))
            self.outage.end()
            session.answers.put(Tick.CATCH_UP)
        for root in self._reachable.fallen_silent(now_s):
            session.decider.problem(EyelineError(NO_ANSWER, root, NO_ANSWER_CURE))
        if self._reachable.back() or listens_elsewhere:
            session.answers.put(Tick.CATCH_UP)
