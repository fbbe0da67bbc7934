"""The NAS vanishes under one station in the middle of a read, and comes back.

A FUSE file system that nobody serves is laid over that station's mount: reads wait in the kernel, as with a
server that has lost its power, and fail at once when it is given up (fuse(4): ENOTCONN).
"""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager, nullcontext
from pathlib import Path

import pytest

from eyeline.errors import EyelineError
from eyeline.stations.certificates import security_for
from eyeline.stations.engine import StationEngine
from eyeline.stations.meeting import Meeting
from eyeline.stations.overview import Doing, who_does_what
from eyeline.workers.examine import Examined, identify
from eyeline.workers.pool import WorkerPool, outcome
from tests.crashes.sick_disks import SilentFolder
from tests.stations.every_engine import scheduler_and_stations
from tests.waiting import wait_until

SHOOT = Path(__file__).resolve().parents[2] / "shoot"
WAITS_SECONDS = 3.0
"""A photo that a station has in hand so long while its folder is silent is being read, and waits."""


@contextmanager
def two_mounts(shoot: Path, folder: Path) -> Iterator[tuple[Path, Path]]:
    """Two places at which the shoot is seen, as two machines would mount it."""
    for name in ("one", "two"):
        shutil.copytree(shoot, folder / name)
    yield folder / "one", folder / "two"


@pytest.mark.slow
@pytest.mark.timeout(900)
@pytest.mark.skipif(os.geteuid() != 0, reason="a FUSE file system is mounted by root")
def test_what_was_being_read_is_measured_elsewhere_and_the_station_comes_back(tmp_path: Path) -> None:
    shoot, told = tmp_path / "shoot", list[EyelineError]()
    shoot.mkdir()
    photos = [Path(shutil.copy2(path, shoot)) for path in sorted(SHOOT.glob("*.jpg"))[:4]]
    with ExitStack() as stack:
        one, two = stack.enter_context(two_mounts(shoot, tmp_path))
        address = stack.enter_context(scheduler_and_stations(tmp_path, [(shoot, one), (shoot, two)], 1))
        meeting = Meeting(address, security_for(address, Path()))
        engine = stack.enter_context(
            StationEngine(lambda: nullcontext(meeting), [shoot], WorkerPool(1), tell=told.append)
        )

        def frames_of(names: Sequence[Path]) -> list[Examined]:
            asked = [engine.identify(path) for path in names]
            frames = [outcome(path, each) for path, each in zip(names, asked, strict=True)]
            measured = [engine.examine(frame) for frame in frames]  # type: ignore[arg-type]
            found = [outcome(path, each) for path, each in zip(names, measured, strict=True)]
            assert all(isinstance(each, Examined) for each in found), found
            return found  # type: ignore[return-value]

        def stations() -> dict[str, Doing]:
            return {each.address: each for each in who_does_what(address, Path())}

        frames_of(photos[:1])
        wait_until(lambda: engine.at_once == 2)
        silent = SilentFolder(one)
        stack.callback(silent.ends)
        asked = [engine.identify(path) for path in photos]
        # One station reads and waits; the other goes on with what it can have.
        wait_until(lambda: any(each.in_hand for each in stations().values()))
        before = stations()
        time.sleep(WAITS_SECONDS)
        waiting = {each.address for each in stations().values()
                   if set(each.in_hand) & set(before[each.address].in_hand)}  # fmt: skip
        assert waiting
        silent.breaks()
        frames = [outcome(path, each) for path, each in zip(photos, asked, strict=True)]
        assert frames == [identify(path) for path in photos]
        wait_until(lambda: told)
        assert "does not see" in told[0].what and str(one) in told[0].what and "--map" in told[0].what
        wait_until(lambda: any(each.refused for each in stations().values()))
        (refused,) = [each for each in stations().values() if each.refused]
        assert refused.address in waiting
        assert len(frames_of(photos)) == len(photos)
        assert stations()[refused.address].measured == refused.measured, "it measures nothing meanwhile"
        # The folder is back: the station is asked again by itself, and measures again.
        silent.ends()
        wait_until(lambda: engine.at_once == 2)
        wait_until(lambda: frames_of(photos) and stations()[refused.address].measured > refused.measured)
        assert not any(each.refused for each in stations().values())
