"""A scheduler that goes at the moment at which a photo is handed to it costs no photo."""

from __future__ import annotations

import asyncio
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import pytest

from eyeline.stations import dispatch, station
from eyeline.stations.asked import Asked
from eyeline.stations.dispatch import Dispatch
from eyeline.stations.meeting import Meeting, Task
from eyeline.stations.roll import Present


class Going:
    """A client whose scheduler has gone, though it does not know yet."""

    status = "running"

    def submit(self, *_: Any, **__: Any) -> Any:
        raise Exception("Client is closed. Can't send update-graph message.")


def test_it_goes_out_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dispatch, "ROLL_SECONDS", 0.01)
    made = Dispatch(lambda: nullcontext(Meeting("tcp://127.0.0.1:9", None)), lambda _: None)
    made._client = Going()
    photo = Path("/shoot/1.jpg")
    task = Task("identify", station.identify, photo.parent, Asked(photo, 1, 1))
    at = [Present("tcp://127.0.0.1:10", "one")]
    assert asyncio.run(made._answer(task, at)) is None
