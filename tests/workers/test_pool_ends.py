"""A pool that is closed while a worker of it is starting, as by Ctrl-C in the first second."""

from __future__ import annotations

import errno
from multiprocessing.process import BaseProcess
from pathlib import Path
from unittest import mock

import pytest
from pebble.pool import process as pebble_pool

from eyeline.workers.pool import WorkerPool
from tests.waiting import PATIENCE_SECONDS


def test_a_worker_that_is_just_starting_says_nothing(
    capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    stop_process, codes = pebble_pool.stop_process, list[int | None]()

    def stop_late(worker: BaseProcess) -> None:
        """End a worker that was quick enough to start in spite of all, and found nothing to do."""
        worker.join(PATIENCE_SECONDS)
        codes.append(worker.exitcode)
        stop_process(worker)

    with (
        mock.patch("eyeline.workers.pool._start_worker", abs),  # loads no models
        mock.patch.object(pebble_pool, "stop_process", stop_late),
        WorkerPool(1) as pool,
    ):
        pool.identify(tmp_path / "NL1_0001.jpg")
    assert capfd.readouterr().err == ""
    assert codes in ([0], [errno.EPIPE]), "it came as far as its first photo, or to where nobody hears of it"
