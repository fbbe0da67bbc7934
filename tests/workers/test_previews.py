"""Small versions are kept while a photo is measured: one decoding, and no trouble with them costs a photo."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from eyeline.errors import EyelineError
from eyeline.previews.drawing import Kind
from eyeline.previews.store import Previews
from eyeline.reading.stream import Stream
from eyeline.run.preview_upkeep import PreviewUpkeep
from eyeline.system import whole_file
from eyeline.workers import examine as examining
from eyeline.workers.draw import ToDraw, draw, sketch
from eyeline.workers.examine import examine, identify

SHOOT = Path(__file__).resolve().parents[2] / "shoot"


@pytest.fixture
def decodings(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Path]]:
    """The files that were decoded, in their order."""
    found: list[Path] = []
    opening = examining._stream

    def counting(data: bytes, path: Path, orientation: int) -> Stream:
        stream = opening(data, path, orientation)
        decode = stream.decode

        def counted() -> object:
            found.append(path)
            return decode()

        object.__setattr__(stream, "decode", counted)
        return stream

    monkeypatch.setattr(examining, "_stream", counting)
    yield found


def test_measuring_keeps_them_from_its_one_decoding(tmp_path: Path, decodings: list[Path]) -> None:
    previews = Previews(tmp_path, 10**9)
    frame = identify(SHOOT / "NL1_1000.jpg")
    examined = examine(frame, previews=previews)
    assert decodings == [frame.path]
    assert examined.preview_problem is None
    assert all(previews.file(frame.digest, frame.orientation, kind) for kind in Kind)
    assert examined.preview_bytes == previews.size()[1]


def test_measures_are_the_same_with_and_without(tmp_path: Path) -> None:
    frame = identify(SHOOT / "NL1_1001.jpg")
    with_them = examine(frame, previews=Previews(tmp_path, 10**9))
    without = examine(frame)
    assert with_them.measurements == without.measurements
    assert with_them.points == without.points


def test_what_was_pruned_is_drawn_anew_and_the_same(tmp_path: Path, decodings: list[Path]) -> None:
    previews = Previews(tmp_path, 10**9)
    frame = identify(SHOOT / "NL1_1000.jpg")
    examined = examine(frame, previews=previews)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*.jpg")}
    previews.forget([(frame.digest, frame.orientation)])
    previews.keep(frame.digest, frame.orientation, sketch(ToDraw(frame, examined.points)))
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.jpg")} == before
    previews.forget([(frame.digest, frame.orientation)])
    assert draw(ToDraw(frame, examined.points), previews) is None
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.jpg")} == before
    assert len(decodings) == 3


def test_a_full_disk_stops_no_measuring_and_is_told_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    full = OSError(28, "No space left on device")

    def replace(self: Path, target: Path) -> Path:
        raise full

    previews = Previews(tmp_path / "previews", 10**9)
    frame = identify(SHOOT / "NL1_1000.jpg")
    with monkeypatch.context() as patch:
        patch.setattr(whole_file.Path, "replace", replace)
        examined = examine(frame, previews=previews)
    assert examined.points is not None
    problem = examined.preview_problem
    assert problem is not None and "No space left" in problem.what and problem.cure
    assert not list(tmp_path.rglob("*.new")) and previews.size() == (0, 0)
    told: list[EyelineError] = []
    upkeep = PreviewUpkeep(previews, told.append)
    for _ in range(3):
        upkeep.heard(examined)
    assert told == [problem]
