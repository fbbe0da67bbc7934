"""Photos measured by a station: the same numbers, by its own paths, and only what the daemon means."""

from __future__ import annotations

import os
import shutil
import socket
import time
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path

import pytest

from eyeline.cli.workers import stations_in_words
from eyeline.errors import EyelineError, UnreadablePhoto
from eyeline.previews.drawing import Kind
from eyeline.previews.store import Previews
from eyeline.stations import joining, roll, station
from eyeline.stations.certificates import security_for
from eyeline.stations.engine import StationEngine
from eyeline.stations.meeting import Meeting
from eyeline.stations.paths import PathMap
from eyeline.terms.frame import Frame
from eyeline.workers.engine import LetGo
from eyeline.workers.examine import Examined, examine, identify
from eyeline.workers.pool import WorkerPool, outcome
from tests.stations.cluster import cluster
from tests.waiting import wait_until

SHOOT = Path(__file__).resolve().parents[2] / "shoot"

pytestmark = pytest.mark.slow


def test_a_station_measures_by_its_own_path_what_the_daemon_means(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(roll, "ASKED_AGAIN_SECONDS", 0.2)
    there, here, previews = tmp_path / "shoot", tmp_path / "nas", Previews(tmp_path / "kept", 10**9)
    there.mkdir()
    photo, other = (Path(shutil.copy2(SHOOT / f"NL1_100{n}.jpg", there)) for n in (0, 1))
    told: list[EyelineError] = []
    heard: list[str] = []
    pool = WorkerPool(1)
    with pool, cluster(pool, PathMap(((there, here),))) as address:
        assert station.this is not None
        station.this.told = heard.append
        meeting = Meeting(address, security_for(address, Path()))
        with StationEngine(
            lambda: nullcontext(meeting), [there], WorkerPool(1), previews, told.append
        ) as engine:
            # The station's folder is not mounted yet: it is refused, once, and the photo waits.
            waiting = engine.identify(photo)
            wait_until(lambda: told)
            assert not waiting.done()
            assert f"--map {there}=FOLDER" in told[0].what
            wait_until(lambda: station.this is not None and station.this.refused == told[0].what)
            # Another shoot of the same names lies there: it is not the same folder.
            here.mkdir()
            shutil.copy2(other, here / photo.name)
            wait_until(lambda: len(told) > 1)
            assert "another file" in told[1].what and not waiting.done()
            # The right one: the photo is measured, and the daemon has its own path of it.
            shutil.rmtree(here)
            shutil.copytree(there, here)
            frame = outcome(photo, waiting)
            assert frame == identify(photo)
            assert heard == [told[0].what, told[1].what, ""], "the station was told the same"
            assert isinstance(frame, Frame)
            examined = outcome(photo, engine.examine(frame))
            assert isinstance(examined, Examined)
            alone = examine(frame)
            assert (examined.frame, examined.points) == (alone.frame, alone.points)
            assert examined.measurements == alone.measurements
            assert all(previews.file(frame.digest, frame.orientation, kind) for kind in Kind)
            # Who does what is told to whoever asks.
            said = stations_in_words(address, Path())
            assert said[0] == f"1 station with 1 process at {address}."
            assert said[1:] == [f"  {socket.gethostname()}: 1 process, 1 photo measured"]
            # A picture that is not the one that was identified is not measured for it.
            swapped = outcome(photo, engine.examine(replace(frame, digest="0" * 64)))
            assert isinstance(swapped, UnreadablePhoto) and swapped.file == photo
            # The station's view of one photo lags behind: it is asked to see that very photo first.
            told.clear()
            time_of = photo.stat().st_mtime + 60
            os.utime(photo, (time_of, time_of))
            (here / photo.name).unlink()
            lagging = engine.identify(photo)
            wait_until(lambda: told)
            assert not lagging.done()
            shutil.copy2(photo, here / photo.name)
            assert isinstance(outcome(photo, lagging), Frame)
            # At a stop, what nobody has in hand is left for the next start.
            shutil.rmtree(here)
            left = engine.identify(other)
            wait_until(lambda: station.this is not None and station.this.refused)
            engine.let_go()
            assert isinstance(outcome(other, left), LetGo)


def test_without_a_scheduler_photos_wait_and_it_is_said_once(tmp_path: Path) -> None:
    told: list[EyelineError] = []
    address = "tcp://127.0.0.1:9"  # the discard service (RFC 863), which nobody runs
    meeting = Meeting(address, security_for(address, Path()))
    with StationEngine(lambda: nullcontext(meeting), [SHOOT], WorkerPool(1), tell=told.append) as engine:
        waiting = engine.identify(SHOOT / "NL1_1000.jpg")
        wait_until(lambda: told)
        assert not waiting.done() and engine.at_once == 1
        time.sleep(2)
        assert len(told) == 1 and "eyeline workers scheduler" in told[0].cure
    assert joining.described()["edition"]
