"""Many frames on the table: the short form of `python -m tests.benchmark.review`."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.benchmark.review import costs, many

FRAMES = 400
MOST_MB = 400
"""With the interpreter, its libraries and the daemon some 130 MB; a frame may take no more than some 60 kB,
and here as many are laid as a day has."""


@pytest.mark.slow
def test_all_frames_are_shown_and_memory_is_bounded(measured_shoot: Path, tmp_path: Path) -> None:
    for name in ("ledger.sqlite3", "config.toml"):
        shutil.copy(measured_shoot / name, tmp_path)
    shutil.copytree(measured_shoot / "previews", tmp_path / "previews")
    paths = many(tmp_path, measured_shoot / "shoot", FRAMES)
    found = costs(tmp_path, paths)
    assert found.frames == FRAMES
    assert set(found.views) == {"brief", "frame", "crop", "set aside", "tune"}
    assert found.memory_mb < MOST_MB
