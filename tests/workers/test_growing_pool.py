"""Workers start with the work: none before the first photo, no more than the waiting photos are worth."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

import pytest

from eyeline.terms.frame import Frame
from eyeline.workers.pool import PHOTOS_WORTH_A_WORKER, WorkerPool, outcome
from tests.crashes.ingest import children
from tests.waiting import wait_until

PHOTO = Path(__file__).resolve().parents[2] / "shoot" / "NL1_1000.jpg"

pytestmark = [
    pytest.mark.of_processes,
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="finds child processes in /proc"),
]


def workers() -> int:
    """Children of this process; a worker's own child looks like a worker until it has become ExifTool."""
    return sum(_parent(each) == os.getpid() for each in children(os.getpid(), "worker"))


def _parent(process: int) -> int | None:
    try:
        return int(Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[1])
    except OSError:
        return None


def test_a_pool_that_is_not_used_starts_nothing() -> None:
    with WorkerPool(4) as pool:
        pool.expect(100)
        assert workers() == 0


@pytest.mark.slow
def test_one_photo_has_one_worker_and_many_have_what_they_are_worth() -> None:
    with WorkerPool(3) as pool:
        pool.expect(1)
        assert isinstance(outcome(PHOTO, pool.identify(PHOTO)), Frame)
        assert workers() == 1
        pool.expect(PHOTOS_WORTH_A_WORKER + 1)
        wait_until(lambda: workers() == 2)
        pool.expect(1)
        pool.expect(100 * PHOTOS_WORTH_A_WORKER)
        wait_until(lambda: workers() == 3)
        time.sleep(0.5)  # pebble looks ten times a second what is missing
        assert workers() == 3
        answers = [pool.identify(PHOTO) for _ in range(6)]
        assert all(isinstance(outcome(PHOTO, each), Frame) for each in answers)
