"""An update that measures otherwise is not judged on yesterday's numbers."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from eyeline.measuring.catalogue import MEASURES_EDITION
from tests.cli.conftest import Eyeline, copy_frames


def measures(eyeline: Eyeline, photo: Path) -> dict[str, Any]:
    ran = eyeline("run", photo, "--json")
    assert ran.returncode == 0, ran.stderr
    return dict(json.loads(ran.stdout)["measures"])


def forge(home: Path, edition: int) -> None:
    """Write other numbers into the ledger, and `edition` as that of the measures."""
    (ledger,) = home.rglob("ledger.sqlite3")
    with sqlite3.connect(ledger) as connection:
        changed = connection.execute(
            """UPDATE photos SET measures_edition = ?,
                   measurements = replace(measurements, '"eye_line"', '"eye_line_of_old"')""",
            (edition,),
        )
        assert changed.rowcount == 1
    connection.close()


@pytest.mark.slow
def test_run_measures_anew_what_is_of_another_edition(home: Path, eyeline: Eyeline, tmp_path: Path) -> None:
    (photo,) = copy_frames(tmp_path, "NL1_1000.jpg")
    first = measures(eyeline, photo)
    forge(home, MEASURES_EDITION)
    assert "eye_line" not in measures(eyeline, photo), "what is of this edition is measured once"
    forge(home, MEASURES_EDITION - 1)
    assert measures(eyeline, photo) == first
