"""Many frames on the table: the short form of `python -m tests.benchmark.review`."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.benchmark.review import costs, many

FRAMES = 400
MOST_MB = 300
"""With the interpreter, its libraries and the daemon some 100 MB, and some 40 kB for each frame of the last
folder, which is kept as it was read; of ten thousand frames each takes 11 kB."""


@pytest.mark.slow
def test_all_frames_are_shown_and_memory_is_bounded(measured_shoot: Path, tmp_path: Path) -> None:
    for name in ("ledger.sqlite3", "config.toml"):
        shutil.copy(measured_shoot / name, tmp_path)
    shutil.copytree(measured_shoot / "previews", tmp_path / "previews")
    paths = many(tmp_path, measured_shoot / "shoot", FRAMES)
    found = costs(tmp_path, paths)
    assert found.frames == FRAMES
    assert set(found.views) == {"brief", "frame", "crop", "set aside", "tune", "tune, judged"}
    assert found.memory_mb < MOST_MB
