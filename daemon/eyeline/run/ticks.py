"""What is periodic in the daemon, and other wishes to it: ticks that a scheduler puts into its mailbox."""

from __future__ import annotations

import logging
import queue
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC
from enum import Enum

from apscheduler.schedulers.background import BackgroundScheduler

CATCH_UP_SECONDS = 300
"""Between two scans of the watched trees: what events missed (network folders send none) waits no longer."""

SETTLE_SECONDS = 0.5
"""Between two looks at files under way: a quarter of the usual quiet time. As often each folder is asked
whether it answers, and a ledger that could not be written is tried again."""

AGAIN_SECONDS = 5
"""Between two looks for files that were put off: the shortest wait of one (`decide.FIRST_WAIT`)."""

RULES_SECONDS = 2
"""Between two looks at the rule files, so that a saved change acts while its author still looks."""

UPKEEP_HOURS = 6
"""Between two tidyings of the ledger."""

ROOM_SECONDS = 60
"""Between two looks at how much is free on the disks: a camera writes some gigabytes meanwhile."""

BACKUP_HOURS = 1
"""Between two looks whether a backup is due (`backups.EVERY`), so that one missed over night is made up."""


class Tick(Enum):
    """What the clock, or somebody else, asks for."""

    SETTLE = "look at files under way"
    LOOK = "look at what is due by now"
    CATCH_UP = "scan the watched trees"
    AGAIN = "try again what could not be written"
    RULES = "see whether rule files changed"
    RELOAD = "read the rules again"
    UPKEEP = "tidy the ledger"
    ROOM = "see how much is free on the disks"
    BACKUP = "back the ledger up, if that is due"
    ASKED = "do what another thread has asked for"
    STOP = "take no more, finish what is in hand"


@contextmanager
def scheduled(mailbox: queue.SimpleQueue[object]) -> Iterator[None]:
    """Put what is periodic into the mailbox; the scheduler's own thread does nothing else."""
    # On a machine that is very busy it would warn of ticks that it skips; the next one does as well.
    logging.getLogger("apscheduler").setLevel(logging.ERROR)
    scheduler = BackgroundScheduler(timezone=UTC)
    for tick, interval in (
        (Tick.SETTLE, {"seconds": SETTLE_SECONDS}),
        (Tick.CATCH_UP, {"seconds": CATCH_UP_SECONDS}),
        (Tick.AGAIN, {"seconds": AGAIN_SECONDS}),
        (Tick.RULES, {"seconds": RULES_SECONDS}),
        (Tick.ROOM, {"seconds": ROOM_SECONDS}),
        (Tick.UPKEEP, {"hours": UPKEEP_HOURS}),
        (Tick.BACKUP, {"hours": BACKUP_HOURS}),
    ):
        scheduler.add_job(mailbox.put, "interval", args=(tick,), coalesce=True, max_instances=1, **interval)
    scheduler.start()
    try:
        yield
    finally:
        scheduler.shutdown(wait=False)
