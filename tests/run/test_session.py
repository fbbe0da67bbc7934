"""Rules that are read again while the daemon runs."""

from __future__ import annotations

import queue
from dataclasses import replace
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.ledger.records import Problem
from eyeline.run.session import Session
from eyeline.settings.rules import rules_in_force
from eyeline.workers.pool import WorkerPool
from tests.deciding.decider import open_decider

MINE = 'name = "mine"\ninherits = "corporate headshot"\n'


@pytest.mark.parametrize("asked_by", ["configuration", "command line"])
@pytest.mark.parametrize("now", [None, 'name = "mine"\ninherits = "corp'], ids=["deleted", "half saved"])
def test_a_genre_that_goes_while_it_is_asked_for_leaves_the_old_rules_in_force(
    asked_by: str, now: str | None, exiftool: ExifTool, tmp_path: Path
) -> None:
    file = tmp_path / "rules" / "mine.toml"
    file.parent.mkdir()
    file.write_text(MINE)
    problems: list[Problem] = []
    with open_decider(tmp_path, exiftool, problems) as decider:
        genres = ("mine",)
        configuration = replace(decider.configuration, genres=genres if asked_by == "configuration" else ())
        asked = () if asked_by == "configuration" else genres
        rules, _ = rules_in_force(configuration)
        decider = replace(decider, configuration=configuration, rules=rules, genres=asked)
        with WorkerPool(1) as pool:
            session = Session(configuration, decider.ledger, decider.log, pool, decider, queue.SimpleQueue())
            if now is None:
                file.unlink()
            else:
                file.write_text(now)
            session.reload_rules()
        assert session.decider.rules is rules
        assert "mine" in problems[-1].what
