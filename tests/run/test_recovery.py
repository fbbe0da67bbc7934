"""A damaged ledger: kept aside, restored or rebuilt, never silently empty."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.ledger import DecisionLog, Ledger, Outcome
from eyeline.previews.store import Previews
from eyeline.run.backups import KEPT, back_up, backups
from eyeline.run.forget import forget
from eyeline.run.ratings import their_stars
from eyeline.run.recovery import kept_aside, open_ledger
from eyeline.sidecar.naming import Naming
from tests.deciding.decider import measured, open_decider, records, undone
from tests.ledger.invented import FOLDER, NOW, decision
from tests.sidecar.examples import edit
from tests.sidecar.readers import by_exiftool


def damage(path: Path, how: str) -> None:
    content = bytearray(path.read_bytes())
    if how == "emptied":
        content.clear()
    elif how == "header":
        content[:16] = b"x" * 16
    elif how == "cut":
        del content[len(content) // 2 :]
    else:
        content[4096 : len(content) // 2] = b"\xff" * (len(content) // 2 - 4096)
    path.write_bytes(content)
    for log in (Path(f"{path}-wal"), Path(f"{path}-shm")):
        log.unlink(missing_ok=True)


@pytest.mark.parametrize("how", ["emptied", "header", "cut", "pages"])
def test_the_newest_sound_backup_takes_its_place(tmp_path: Path, how: str) -> None:
    path = tmp_path / "ledger.sqlite3"
    with Ledger(path, NOW) as ledger:
        ledger.decisions.add(decision(FOLDER / "a.jpg"))
        back_up(ledger, NOW)
        ledger.decisions.add(decision(FOLDER / "b.jpg"))
        newest = back_up(ledger, NOW + timedelta(days=1))
        ledger.decisions.add(decision(FOLDER / "c.jpg"))
    damage(newest, "cut")
    damage(path, how)
    broken = path.read_bytes()
    restored, told = open_ledger(path, [], Naming.REPLACE, NOW + timedelta(days=2))
    with restored:
        assert restored.check() == ()
        assert restored.decisions.paths_under(FOLDER) == (FOLDER / "a.jpg",)
    (aside,) = kept_aside(path)
    assert aside.read_bytes()[4096:] == broken[4096:]  # opening it notes the opening on the first page
    assert any("restored" in str(each) for each in told)


def test_without_a_backup_it_is_rebuilt_from_what_sidecars_record(exiftool: ExifTool, tmp_path: Path) -> None:
    shoot = tmp_path / "shoot"
    with open_decider(tmp_path, exiftool) as decider:
        ledger_path = decider.configuration.ledger
        photos = [measured(decider, shoot / f"{name}.jpg") for name in "abc"]
        decided = {photo.frame.path: made for photo, made in decider.decide(photos)}
    damage(ledger_path, "header")
    rebuilt, told = open_ledger(ledger_path, [shoot], Naming.REPLACE, NOW)
    with rebuilt:
        for path, before in decided.items():
            again = rebuilt.decisions.latest_written(path.with_suffix(".xmp"))
            assert again is not None
            assert again.verdict.stars == before.verdict.stars
            assert again.verdict.keywords == before.verdict.keywords
            assert again.verdict.genre == before.verdict.genre
            assert again.sidecar_after == before.sidecar_after
    assert any("3 decisions are rebuilt" in str(each) for each in told)
    with open_decider(tmp_path, exiftool) as decider:
        sidecars = {path: path.read_bytes() for path in shoot.glob("*.xmp")}
        assert [each.refused for each in undone(decider, shoot)] == [True] * 3, "it knows by hearsay alone"
    assert {path: path.read_bytes() for path in shoot.glob("*.xmp")} == sidecars


def test_rebuilt_it_takes_nothing_that_may_be_theirs_and_knows_that_nothing_is_measured(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    shoot = tmp_path / "shoot"
    paths = [shoot / f"{name}.jpg" for name in ("rated", "moved", "untouched")]
    rated, moved, untouched = (path.with_suffix(".xmp") for path in paths)
    with open_decider(tmp_path, exiftool) as decider:
        ledger_path = decider.configuration.ledger
        stars = {
            decision.verdict.stars
            for _, decision in decider.decide([measured(decider, path) for path in paths])
        }
    assert stars.isdisjoint({None, 5})
    edit(rated, "-XMP-xmp:Rating=5", "-XMP-dc:Subject=")
    edit(moved, "-XMP-iptcExt:ImageRegion=")
    left = untouched.read_bytes()
    damage(ledger_path, "cut")
    with open_decider(tmp_path, exiftool, rebuilt_from=[shoot]) as decider:
        assert all(decider.ledger.photos.at(path) is None for path in paths), "measures are in no sidecar"
        assert all(decider.ledger.files.known(path) is None for path in paths), "so each is taken in anew"
        decisions = {
            photo.frame.path: made
            for photo, made in decider.decide([measured(decider, path) for path in paths])
        }
        assert {made.outcome for made in decisions.values()} == {Outcome.UNCHANGED}
        assert by_exiftool(rated).rating == "5"
        assert not by_exiftool(rated).keywords
        assert not by_exiftool(moved).regions
        assert untouched.read_bytes() == left
        assert their_stars(records(decider), measured(decider, paths[0])) == 5
        undone(decider, shoot)
    assert by_exiftool(untouched).rating is not None, "it may be a person's: only the file says otherwise"
    assert by_exiftool(rated).rating == "5"


def test_a_sound_ledger_is_opened_without_a_word(tmp_path: Path) -> None:
    path = tmp_path / "ledger.sqlite3"
    Ledger(path, NOW).close()
    ledger, told = open_ledger(path, [], Naming.REPLACE, NOW)
    with ledger:
        assert told == []


def test_a_ledger_that_is_gone_is_told_where_backups_show_that_there_was_one(tmp_path: Path) -> None:
    path = tmp_path / "ledger.sqlite3"
    with Ledger(path, NOW) as ledger:
        ledger.decisions.add(decision(FOLDER / "a.jpg"))
        backup = back_up(ledger, NOW)
    for each in tmp_path.glob("ledger.sqlite3*"):
        each.unlink()
    begun, told = open_ledger(path, [], Naming.REPLACE, NOW)
    with begun:
        assert begun.decisions.paths_under(FOLDER) == ()
    assert [str(backup) in each.cure for each in told] == [True]


def test_a_week_of_backups_is_kept(tmp_path: Path) -> None:
    with Ledger(tmp_path / "ledger.sqlite3", NOW) as ledger:
        made = [back_up(ledger, NOW + timedelta(days=day)) for day in range(KEPT + 3)]
        assert backups(ledger.path) == tuple(reversed(made[-KEPT:]))


def test_forgetting_reaches_the_backups(tmp_path: Path) -> None:
    with Ledger(tmp_path / "ledger.sqlite3", NOW) as ledger:
        ledger.decisions.add(decision(FOLDER / "a.jpg"))
        back_up(ledger, NOW)
        log, previews = DecisionLog(tmp_path / "decisions.jsonl"), Previews(tmp_path / "previews", 10**6)
        forget(ledger, log, [FOLDER], NOW + timedelta(days=1), previews)
        everything = b"".join(each.read_bytes() for each in tmp_path.rglob("*") if each.is_file())
    assert bytes(FOLDER) not in everything
