"""A sidecar that cannot be written for a cause that may pass: told once, tried again ever more rarely."""

from __future__ import annotations

import errno
import os
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path
from typing import Self

import pytest

from eyeline.deciding import write_sidecar
from eyeline.deciding.decide import FIRST_WAIT, LONGEST_WAIT
from eyeline.exiftool import ExifTool
from eyeline.ledger import Ledger, Outcome, State
from eyeline.ledger.records import Problem
from eyeline.sidecar import annotate
from tests.deciding.decider import measured, open_decider


class Clock(datetime):
    """The decider's clock: it stands still in a test, however long the machine takes."""

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> Self:
        return cls(2026, 11, 25, 12, 0, 0, tzinfo=tz)


NOW = Clock.now(UTC)


def wait_of(ledger: Ledger, path: Path) -> timedelta:
    known = ledger.files.known(path)
    assert known is not None and known.not_before is not None
    assert known.state is State.POSTPONED
    assert "No space left" in (known.problem or "")
    return known.not_before - NOW


def test_a_full_disk_is_told_once_and_tried_again_ever_more_rarely(
    exiftool: ExifTool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(write_sidecar, "datetime", Clock)
    told: list[Problem] = []
    path = tmp_path / "shoot" / "IMG_1.jpg"
    with open_decider(tmp_path, exiftool, told) as decider:
        files = decider.ledger.files
        photo = measured(decider, path)
        waits = []
        with monkeypatch.context() as patch:
            patch.setattr(annotate, "working_copy", full)
            for attempt in range(12):
                ((_, decision),) = decider.decide([photo], only_new=True)
                assert decision.outcome is Outcome.REFUSED
                waits.append(wait_of(decider.ledger, path))
                assert files.due(NOW, 9) == (), "not at once"
                later = NOW + LONGEST_WAIT
                assert files.due(later, 9) == (path,)
                assert files.claim(path, later, timedelta(minutes=1)), attempt
                measured(decider, path)
        assert waits == sorted(waits)
        assert waits[0] <= FIRST_WAIT < waits[2]
        assert waits[-1] == LONGEST_WAIT
        assert decider.ledger.status().decisions == len(told) == 1
        ((_, decision),) = decider.decide([photo], only_new=True)
        assert decision.outcome is Outcome.WRITTEN
        known = files.known(path)
        assert known is not None and known.state is State.WRITTEN
