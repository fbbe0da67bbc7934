"""A machine that stands still for seconds: that no photo came meanwhile is no pause of the photographer's."""

from __future__ import annotations

import queue
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from eyeline.run import daemon as room
from eyeline.run.daemon import STANDS_STILL_SECONDS, Daemon
from eyeline.run.ticks import SETTLE_SECONDS, Tick
from eyeline.run.write_queue import WriteQueue

CARD = Path("card")
QUIET_S = 20.0


class Mailbox:
    """A message comes after so many seconds of the clock."""

    def __init__(self) -> None:
        self.now_s, self.after_s = 0.0, SETTLE_SECONDS

    def get(self, timeout: float | None = None) -> Tick:
        self.now_s += self.after_s
        if timeout is not None and timeout < self.after_s:
            raise queue.Empty
        return Tick.SETTLE


@pytest.fixture
def mailbox(monkeypatch: pytest.MonkeyPatch) -> Mailbox:
    made = Mailbox()
    monkeypatch.setattr(room, "time", SimpleNamespace(monotonic=lambda: made.now_s))
    return made


def waiting_daemon(mailbox: Mailbox, next_look_s: float | None) -> Any:
    """A daemon of which only the wait for messages is used, with a folder in which a photo came just now."""
    waits: Any = object.__new__(Daemon)
    waits.session = SimpleNamespace(answers=mailbox)
    waits._around = SimpleNamespace(outage=SimpleNamespace(error=None))
    waits._arrivals = SimpleNamespace(next_look_s=next_look_s)
    pauses, waits._to_write = WriteQueue(QUIET_S, 300.0), WriteQueue(QUIET_S, 300.0)
    waits.attention = SimpleNamespace(next_s=None, stood_still=pauses.stood_still, pauses=pauses)
    for each in (pauses, waits._to_write):
        each.noticed(CARD, mailbox.now_s)
    return waits


@pytest.mark.parametrize("next_look_s", [None, 5.0])
@pytest.mark.parametrize("stands_s", [STANDS_STILL_SECONDS, 60.0])
def test_time_in_which_the_machine_stood_still_ends_no_sitting(
    mailbox: Mailbox, next_look_s: float | None, stands_s: float
) -> None:
    waits = waiting_daemon(mailbox, next_look_s)
    mailbox.after_s = stands_s
    waits._next_message()
    mailbox.after_s = SETTLE_SECONDS
    for each in (waits._to_write, waits.attention.pauses):
        assert each.due(mailbox.now_s + QUIET_S - 0.1) == []
        assert each.due(mailbox.now_s + QUIET_S) == [CARD]


def test_time_that_only_passes_does(mailbox: Mailbox) -> None:
    waits = waiting_daemon(mailbox, None)
    while mailbox.now_s < QUIET_S:
        waits._next_message()
    assert waits._to_write.due(mailbox.now_s) == [CARD] == waits.attention.pauses.due(mailbox.now_s)
