"""An update that measures otherwise is not judged on yesterday's numbers."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Eyeline, copy_frames


def measures(eyeline: Eyeline, photo: Path) -> dict[str, Any]:
    ran = eyeline("run", photo, "--json")
    assert ran.returncode == 0, ran.stderr
    return dict(json.loads(ran.stdout)["measures"])


def forge(home: Path, eyeline_version: str | None) -> None:
    """Write other numbers into the ledger, and `eyeline_version` as what measured them."""
    (ledger,) = home.rglob("ledger.sqlite3")
    with sqlite3.connect(ledger) as connection:
        changed = connection.execute(
            """UPDATE photos SET eyeline_version = coalesce(?, eyeline_version),
                   measurements = replace(measurements, '"eye_line"', '"eye_line_of_old"')""",
            (eyeline_version,),
        )
        assert changed.rowcount == 1
    connection.close()


@pytest.mark.slow
def test_run_measures_anew_what_another_version_measured(
    home: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    (photo,) = copy_frames(tmp_path, "NL1_1000.jpg")
    first = measures(eyeline, photo)
    forge(home, None)
    assert "eye_line" not in measures(eyeline, photo), "what this version measured is measured once"
    forge(home, "0.0.1")
    assert measures(eyeline, photo) == first
