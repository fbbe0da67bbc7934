"""A path that does not exist is a mistake of who typed it; one that is gone but known is not."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from eyeline.cli.exit_codes import DONE, MISUSED
from eyeline.exiftool import ExifTool
from eyeline.ledger import Ledger
from eyeline.run.undo import undo
from eyeline.sidecar.naming import Naming
from tests.cli.conftest import Eyeline
from tests.deciding.decider import measured, open_decider
from tests.ledger.invented import NOW, decision


@pytest.mark.parametrize("verb", ["undo", "forget"])
def test_a_path_that_does_not_exist_is_misuse(
    verb: str, tmp_path: Path, home: Path, eyeline: Eyeline
) -> None:
    ledger = home / "known.sqlite3"
    known, config = tmp_path / "gone", home / "config.toml"
    config.write_text(f'ledger = "{ledger}"\n[[folder]]\npath = "{known}"\n')
    if not ledger.exists():
        Ledger(ledger, NOW).close()
    with Ledger(ledger, NOW) as held:
        held.decisions.add(decision(known / "a.jpg"))
    done = eyeline(verb, tmp_path / "shooot", "--config", config)
    assert done.returncode == MISUSED
    assert "no such file" in done.stderr
    assert eyeline(verb, known, "--config", config).returncode == DONE


@pytest.mark.parametrize("verb", ["run", "why"])
def test_a_name_that_no_file_can_have_is_misuse(verb: str, eyeline: Eyeline) -> None:
    done = eyeline(verb, "n" * 300)
    assert done.returncode == MISUSED
    assert "no file has so long a name" in done.stderr


def test_forgetting_says_that_a_watched_folder_is_measured_again(
    tmp_path: Path, home: Path, eyeline: Eyeline
) -> None:
    watched, config = tmp_path / "watched", home / "watching.toml"
    watched.mkdir()
    config.write_text(f'ledger = "{home / "w.sqlite3"}"\n[[folder]]\npath = "{watched}"\n')
    Ledger(home / "w.sqlite3", NOW).close()
    said = " ".join(eyeline("forget", "--yes", watched, tmp_path, "--config", config).stdout.split())
    assert f"{watched} is watched: what lies there will be measured again" in said
    assert said.count("is watched") == 1


def test_undo_with_embedded_writing_names_no_stranger_s_file(exiftool: ExifTool, tmp_path: Path) -> None:
    """A JPEG whose XMP could not be edited, and in which eyeline never wrote, is none of undo's business."""
    shoot = tmp_path / "shoot"
    with open_decider(tmp_path, exiftool) as decider:
        list(decider.decide([measured(decider, shoot / "ours.jpg")]))
        (shoot / "theirs.jpg").write_bytes(b"\xff\xd8\xff\xe1 broken")
        (shoot / "other.xmp").write_bytes(b"no XML")
        shutil.copy(shoot / "theirs.jpg", shoot / "other.jpg")
        found = list(undo(decider.ledger, decider.log, exiftool, [shoot], Naming.EMBED, dry_run=True))
    assert [(each.sidecar.name, each.refused) for each in found] == [("ours.xmp", False)]
