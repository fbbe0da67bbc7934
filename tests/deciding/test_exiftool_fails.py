"""ExifTool that dies over one photo, however often it is started: that one is set aside, the others go on."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from eyeline.deciding.decide import MOST_FAILURES
from eyeline.errors import ExifToolFailed
from eyeline.exiftool import ExifTool
from eyeline.ledger.records import Outcome, Problem, State
from tests.deciding.decider import measured, open_decider

MORTAL = """#!{python}
import os, signal, subprocess, sys
child = subprocess.Popen(["exiftool", *sys.argv[1:]], stdin=subprocess.PIPE)
for line in sys.stdin.buffer:
    if b"cursed" in line:
        child.kill()
        os.kill(os.getpid(), signal.SIGKILL)
    child.stdin.write(line)
    child.stdin.flush()
"""


@pytest.fixture
def mortal(tmp_path: Path) -> Iterator[ExifTool]:
    """The real one behind a go-between that dies where a file of the folder `cursed` is named."""
    program = tmp_path / "exiftool"
    program.write_text(MORTAL.format(python=sys.executable))
    program.chmod(0o755)
    with ExifTool(str(program)) as exiftool:
        yield exiftool


def test_it_costs_that_photo_only(tmp_path: Path, mortal: ExifTool) -> None:
    told: list[Problem] = []
    with open_decider(tmp_path, mortal, told) as decider:
        photos = [measured(decider, tmp_path / name) for name in ("a/1.jpg", "cursed/2.jpg", "z/3.jpg")]
        decided = {photo.frame.path.name: decision for photo, decision in decider.decide(photos)}
        assert {name: decision.outcome for name, decision in decided.items()} == {
            "1.jpg": Outcome.WRITTEN,
            "2.jpg": Outcome.REFUSED,
            "3.jpg": Outcome.WRITTEN,
        }
        cursed = tmp_path / "cursed" / "2.jpg"
        known = decider.ledger.files.known(cursed)
        assert known is not None and known.state is State.POSTPONED
    assert [path.name for path in cursed.parent.iterdir()] == ["2.jpg"]
    (problem,) = told
    assert problem.path == cursed
    assert "2.jpg: ExifTool died" in problem.what
    assert "exiftool` on the photo by hand" in problem.what


def test_where_it_fails_over_one_photo_after_another_the_pass_ends(tmp_path: Path, mortal: ExifTool) -> None:
    with open_decider(tmp_path, mortal) as decider:
        photos = [measured(decider, tmp_path / "cursed" / f"{n}.jpg") for n in range(MOST_FAILURES + 2)]
        decided = []
        with pytest.raises(ExifToolFailed, match="died"):
            decided.extend(decider.decide(photos))  # keeps what came before
        refused = [photo for photo in photos if decider.ledger.decisions.latest(photo.frame.path) is not None]
        assert len(refused) == MOST_FAILURES
