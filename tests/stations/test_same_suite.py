"""The suite by stations: `pytest --engine dask`, of which CI runs a pass and the daemon."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
IN_SHORT = (
    "tests/cli/test_run.py::test_every_photo_gets_one_line_of_json_and_one_sidecar",
    "tests/cli/test_run.py::test_a_second_run_changes_no_byte",
    "tests/cli/test_watch.py::test_photos_are_annotated_as_they_arrive",
    "tests/cli/test_watch.py::test_a_damaged_photo_is_told_once_and_a_mended_one_is_taken",
)


@pytest.mark.slow
@pytest.mark.timeout(600)
def test_a_pass_and_the_daemon_do_the_same_where_stations_measure() -> None:
    words = ["-q", "-n0", "-p", "no:cacheprovider", "--engine", "dask", *IN_SHORT]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *words], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    said = re.search(r"measured by stations: (\d+)", done.stdout)
    assert said is not None and int(said[1]) >= len(IN_SHORT), "by stations, each photo of theirs"
