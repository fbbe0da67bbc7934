"""Whatever goes wrong over one photo costs that photo alone: it is told and entered, and the pass goes on."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from eyeline.deciding import write_sidecar
from eyeline.exiftool import ExifTool
from eyeline.ledger.records import Outcome, Problem
from eyeline.sidecar.found import Lookup
from eyeline.sidecar.outcome import Outcome as SidecarOutcome
from tests.deciding.decider import measured, open_decider, undone
from tests.sidecar.forged import forged, rated
from tests.sidecar.readers import by_exiftool

RECORDS = [
    '{"keywords": 1}',
    '{"keywords": ["\\ud800"]}',
    '{"scenes": 7, "rating": "4"}',
    '{"left_keywords": ["\\u001b]0;x\\u0007\\nNEW LINE"]}',
    '{"regions": {"eyeline-sitter": [1e999, 0, 1, 1, "c0"]}}',
    '{"metadata_date": "now"}',
    "[" * 100_000,
]


@pytest.mark.parametrize("record", RECORDS)
def test_a_record_that_is_none_of_ours_stops_nothing(exiftool: ExifTool, tmp_path: Path, record: str) -> None:
    told: list[Problem] = []
    with open_decider(tmp_path, exiftool, told) as decider:
        photos = [measured(decider, tmp_path / "shoot" / name) for name in ("a.jpg", "b.jpg", "c.jpg")]
        sidecar = tmp_path / "shoot" / "b.xmp"
        sidecar.write_bytes(forged(record, rated("5", "client")))
        outcomes = [decision.outcome for _, decision in decider.decide(photos)]
        assert outcomes == [Outcome.WRITTEN] * 3, told
        seen = by_exiftool(sidecar)
        assert seen.rating == "5"
        assert "client" in seen.keywords
        assert all(each.exact for each in undone(decider, tmp_path / "shoot"))
    assert sidecar.read_bytes() == forged(record, rated("5", "client"))


def test_a_fault_of_eyeline_s_own_costs_that_photo_alone(
    exiftool: ExifTool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[Problem] = []
    annotate = write_sidecar.annotate

    def faulty(exiftool: ExifTool, lookup: Lookup, *rest: Any) -> SidecarOutcome:
        if lookup.photo.name == "b.jpg":
            raise TypeError("'int' object is not iterable")
        return annotate(exiftool, lookup, *rest)

    monkeypatch.setattr(write_sidecar, "annotate", faulty)
    with open_decider(tmp_path, exiftool, told) as decider:
        photos = [measured(decider, tmp_path / "shoot" / name) for name in ("a.jpg", "b.jpg", "c.jpg")]
        outcomes = {photo.frame.path.name: made.outcome for photo, made in decider.decide(photos)}
        assert outcomes == {"a.jpg": Outcome.WRITTEN, "b.jpg": Outcome.REFUSED, "c.jpg": Outcome.WRITTEN}
        entered = decider.ledger.decisions.latest(tmp_path / "shoot" / "b.jpg")
        assert entered is not None and entered.outcome is Outcome.REFUSED
    (problem,) = told
    assert problem.path == tmp_path / "shoot" / "b.jpg"
    assert "does not foresee" in problem.what
    assert not (tmp_path / "shoot" / "b.xmp").exists()
