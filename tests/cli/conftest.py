"""The real command line in a process of its own, with a home of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

SHOOT = Path(__file__).resolve().parents[2] / "shoot"

Eyeline = Callable[..., "subprocess.CompletedProcess[str]"]


def environment(home: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("XDG_")}
    return kept | {"HOME": str(home), "COLUMNS": "200"}


def run_eyeline(home: Path, *words: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "eyeline", *map(os.fspath, words)],
        env=environment(home),
        cwd=cwd or home,
        capture_output=True,
        text=True,
        errors="surrogateescape",
        timeout=240,
        check=False,
    )


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("home")


@pytest.fixture(scope="module")
def eyeline(home: Path) -> Eyeline:
    return lambda *words, **options: run_eyeline(home, *words, **options)


def copy_frames(folder: Path, *names: str) -> list[Path]:
    folder.mkdir(parents=True, exist_ok=True)
    return [Path(shutil.copy(SHOOT / name, folder / name)) for name in names]
