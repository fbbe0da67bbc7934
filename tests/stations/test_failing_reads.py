"""One station's own mount fails in the middle of a photo: another measures it, and nothing is lost."""

from __future__ import annotations

import errno
import os
import shutil
from contextlib import ExitStack, nullcontext
from pathlib import Path

import pytest

from eyeline.errors import EyelineError
from eyeline.stations.certificates import security_for
from eyeline.stations.engine import StationEngine
from eyeline.stations.meeting import Meeting
from eyeline.stations.overview import who_does_what
from eyeline.workers.examine import Examined, identify
from eyeline.workers.pool import WorkerPool, outcome
from tests.crashes.failing_reads import FailingReads
from tests.crashes.test_failing_reads import FRAMES, FROM_BYTE
from tests.stations.every_engine import scheduler_and_stations
from tests.stations.test_lost_folder import SHOOT
from tests.waiting import wait_until


@pytest.mark.slow
@pytest.mark.timeout(600)
@pytest.mark.skipif(os.geteuid() != 0, reason="a FUSE file system is mounted by root")
def test_a_station_that_cannot_read_a_photo_to_its_end_is_refused_and_another_measures_it(
    tmp_path: Path,
) -> None:
    shoot, one, two, told = tmp_path / "shoot", tmp_path / "one", tmp_path / "two", list[EyelineError]()
    one.mkdir()
    for folder in (shoot, two):
        folder.mkdir()
        for name in FRAMES:
            shutil.copy2(SHOOT / name, folder)
    photos = [shoot / name for name in FRAMES]
    with ExitStack() as stack:
        disk = FailingReads(shoot, one, FRAMES[1], FROM_BYTE)
        stack.callback(disk.ends)
        address = stack.enter_context(scheduler_and_stations(tmp_path, [(shoot, one), (shoot, two)], 1))
        meeting = Meeting(address, security_for(address, Path()))
        engine = stack.enter_context(
            StationEngine(lambda: nullcontext(meeting), [shoot], WorkerPool(1), tell=told.append)
        )
        outcome(photos[0], engine.identify(photos[0]))
        wait_until(lambda: engine.at_once == 2)
        # Until the station with the bad mount has had that photo.
        while not told:
            asked = [engine.identify(path) for path in photos]
            frames = [outcome(path, each) for path, each in zip(photos, asked, strict=True)]
            assert frames == [identify(path) for path in photos]
        assert str(one) in told[0].what and os.strerror(errno.EIO) in told[0].what
        measured = [engine.examine(frame) for frame in frames]  # type: ignore[arg-type]
        found = [outcome(path, each) for path, each in zip(photos, measured, strict=True)]
        assert all(isinstance(each, Examined) for each in found), found
        assert sum(bool(each.refused) for each in who_does_what(address, Path())) == 1
