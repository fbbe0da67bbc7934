"""A worker that is killed between two photos takes the pool with it; the next photo gets a new one."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

import pytest

from eyeline.terms.frame import Frame
from eyeline.workers.pool import WorkerPool, outcome
from tests.crashes.ingest import children
from tests.waiting import wait_until

PHOTO = Path(__file__).resolve().parents[2] / "shoot" / "NL1_1000.jpg"


@pytest.mark.slow
@pytest.mark.of_processes
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="finds child processes in /proc")
def test_idle_workers_that_are_killed_cost_nothing_that_is_asked_later() -> None:
    with WorkerPool(1) as pool:
        assert isinstance(outcome(PHOTO, pool.identify(PHOTO)), Frame)
        for worker in children(os.getpid(), "worker"):
            os.kill(worker, signal.SIGKILL)
        assert pool._pool is not None
        broken = pool._pool
        wait_until(lambda: not broken.active)  # one that is given to it before that is lost with it
        assert isinstance(outcome(PHOTO, pool.identify(PHOTO)), Frame)
