"""The library that runs the face models keeps no record of that and gives the machine no identifier."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

LOADED = "from eyeline.reading.models import load_all; load_all()"


def traces(home: Path, code: str, **variables: str) -> list[str]:
    """What a process that runs `code` leaves in a home, cache and temporary folder of its own."""
    own = dict.fromkeys(("HOME", "TMPDIR", "XDG_CACHE_HOME", "XDG_DATA_HOME"), os.fspath(home))
    kept = {name: value for name, value in os.environ.items() if name != "ORT_DISABLE_TELEMETRY"}
    subprocess.run([sys.executable, "-B", "-c", code], env=kept | own | variables, check=True)
    return sorted(str(path.relative_to(home)) for path in home.rglob("*"))


def test_no_trace_of_the_models_is_left_anywhere(tmp_path: Path) -> None:
    assert traces(tmp_path, LOADED) == []


def test_a_user_s_environment_does_not_turn_it_on(tmp_path: Path) -> None:
    assert traces(tmp_path, LOADED, ORT_DISABLE_TELEMETRY="0") == []
