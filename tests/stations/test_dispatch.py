"""What vanishes while a photo is on its way."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import pytest

from eyeline.errors import WorkerLost
from eyeline.stations import dispatch, station
from eyeline.stations.asked import Answered, Asked
from eyeline.stations.dispatch import Dispatch
from eyeline.stations.meeting import Meeting, Task
from eyeline.stations.roll import Present
from eyeline.workers.engine import LetGo


class Going:
    """A client whose scheduler has gone, though it does not know yet."""

    status = "running"

    def rpc(self, _: str) -> Any:
        raise RuntimeError("ConnectionPool is closed")


def test_it_goes_out_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dispatch, "ROLL_SECONDS", 0.01)
    made = Dispatch(lambda: nullcontext(Meeting("tcp://127.0.0.1:9", None)), lambda _: None)
    made._client = Going()
    photo = Path("/shoot/1.jpg")
    task = Task("identify", station.identify, photo.parent, Asked(photo, 1, 1))
    at = Present("tcp://127.0.0.1:10", "one")
    assert asyncio.run(made._answer(task, at)) is None
    assert at.in_hand == 0


class Vanishing:
    """A client whose stations vanish with the photo that they are given; `then` comes after each."""

    status = "running"

    def __init__(self, then: Callable[[], object] = lambda: None) -> None:
        self.then = then
        self.asked = 0

    def rpc(self, _: str) -> Any:
        self.asked += 1
        self.then()
        raise OSError("connection closed")


def carried_out(made: Dispatch, monkeypatch: pytest.MonkeyPatch, stations: int) -> Answered:
    monkeypatch.setattr(dispatch, "ROLL_SECONDS", 0.01)
    there = [[Present(f"tcp://127.0.0.1:{10 + n}", str(n))] for n in range(stations)]

    async def able(_: Task) -> list[Present]:
        if not there:
            raise LetGo("nobody is left")
        return there.pop(0)

    monkeypatch.setattr(made, "_able", able)
    photo = Path("/shoot/1.jpg")
    return asyncio.run(made.carry_out(Task("identify", station.identify, photo.parent, Asked(photo, 1, 1))))


def test_a_photo_over_which_two_stations_vanish_is_handed_back(monkeypatch: pytest.MonkeyPatch) -> None:
    made = Dispatch(lambda: nullcontext(Meeting("tcp://127.0.0.1:9", None)), lambda _: None)
    made._client = client = Vanishing()
    with pytest.raises(WorkerLost, match="vanished"):
        carried_out(made, monkeypatch, stations=5)
    assert client.asked == 2


def test_stations_that_go_with_their_scheduler_count_for_no_photo(monkeypatch: pytest.MonkeyPatch) -> None:
    made = Dispatch(lambda: nullcontext(Meeting("tcp://127.0.0.1:9", None)), lambda _: None)

    def another_scheduler() -> None:
        made._client = Vanishing(another_scheduler)

    another_scheduler()
    with pytest.raises(LetGo, match="nobody is left"):
        carried_out(made, monkeypatch, stations=5)
