"""A shoot is passed over only where judging and writing it again would change nothing."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from eyeline.deciding import settle
from eyeline.deciding.decide import Decider
from eyeline.deciding.settle import Left, SettledShoots
from eyeline.deciding.shoot import Shoot, shoots
from eyeline.errors import UnsafeSidecar
from eyeline.exiftool import ExifTool
from eyeline.intake.catch_up import catch_up
from eyeline.ledger.records import Decision, Outcome, Summary
from eyeline.run.take_back import let_write_anew
from eyeline.settings.rules import rules_in_force
from eyeline.sidecar.naming import Naming
from tests.deciding.decider import measured, open_decider, undone

NAMES = ("IMG_1.jpg", "IMG_2.jpg", "IMG_3.jpg")


def the_shoot(folder: Path) -> Shoot:
    (found,) = shoots(catch_up([folder]), [folder])
    assert isinstance(found, Shoot)
    return found


def measured_in(decider: Decider, shoot: Shoot) -> list[Decision]:
    """A pass: decide all that is measured, and settle the shoot."""
    settled = SettledShoots(decider)
    before = settled.snapshot(shoot)
    photos = [photo for path in shoot.photos if (photo := decider.ledger.photos.at(path)) is not None]
    decisions = [decision for _, decision in decider.decide(photos)]
    settled.settle(shoot, before, [Left.of(decision) for decision in decisions])
    return decisions


def unchanged(decider: Decider, folder: Path) -> Summary | None:
    return SettledShoots(decider).unchanged(the_shoot(folder))


def sidecar_of(folder: Path, number: int) -> Path:
    return folder / f"IMG_{number}.xmp"


def rated_in_place(path: Path) -> None:
    """Another program writes a rating: same inode, same size, and the time of the last change put back."""
    status = path.stat()
    content, count = re.subn(
        rb"<xmp:Rating>(\d)<", lambda found: b"<xmp:Rating>%d<" % ((int(found[1]) + 1) % 6), path.read_bytes()
    )
    assert count == 1
    path.write_bytes(content)
    os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns))
    assert path.stat().st_size == status.st_size


Change = Callable[[Decider, Path], Decider]


def edited(decider: Decider, folder: Path) -> Decider:
    rated_in_place(sidecar_of(folder, 1))
    return decider


def deleted(decider: Decider, folder: Path) -> Decider:
    sidecar_of(folder, 2).unlink(missing_ok=True)
    return decider


def one_more_sidecar(decider: Decider, folder: Path) -> Decider:
    (folder / "IMG_1.jpg.xmp").write_bytes(sidecar_of(folder, 3).read_bytes())
    return decider


def write_protected(decider: Decider, folder: Path) -> Decider:
    sidecar_of(folder, 3).chmod(0o444)
    return decider


def new_photo(decider: Decider, folder: Path) -> Decider:
    measured(decider, folder / "IMG_9.jpg")
    return decider


def new_photo_of_another_kind(decider: Decider, folder: Path) -> Decider:
    measured(decider, folder / "RAW" / "IMG_1.cr3")
    return decider


def photo_gone(decider: Decider, folder: Path) -> Decider:
    (folder / "IMG_2.jpg").unlink()
    return decider


def photo_changed(decider: Decider, folder: Path) -> Decider:
    (folder / "IMG_2.jpg").write_bytes(b"another photo")
    return decider


def measured_anew(decider: Decider, folder: Path) -> Decider:
    photo = decider.ledger.photos.at(folder / "IMG_3.jpg")
    assert photo is not None
    capture = replace(photo.frame.capture, rating_inside=5.0)
    decider.ledger.photos.record(replace(photo, frame=replace(photo.frame, capture=capture)))
    return decider


def postponed(decider: Decider, folder: Path) -> Decider:
    now = datetime.now(UTC)
    decider.ledger.files.postpone(folder / "IMG_1.jpg", now + timedelta(hours=1), "the disk is full", now)
    return decider


def taken_back(decider: Decider, folder: Path) -> Decider:
    undone(decider, folder / "IMG_1.jpg")
    return decider


def may_write_anew(decider: Decider, folder: Path) -> Decider:
    photo = decider.ledger.photos.at(folder / "IMG_1.jpg")
    assert photo is not None
    let_write_anew(decider.ledger, photo, Naming.REPLACE)
    return decider


def folder_file(decider: Decider, folder: Path) -> Decider:
    (folder / "eyeline.toml").write_text('genres = ["tight close crop"]\n')
    return decider


def broken_folder_file(decider: Decider, folder: Path) -> Decider:
    (folder.parent / "eyeline.toml").write_text("genres = 1\n")
    return decider


def changed_rule(decider: Decider, folder: Path) -> Decider:
    own = decider.configuration.rules
    own.mkdir(exist_ok=True)
    (own / "own.toml").write_text('name = "corporate headshot"\n[criteria.headroom]\nweight = 9\n')
    return replace(decider, rules=rules_in_force(decider.configuration)[0])


def other_genre(decider: Decider, folder: Path) -> Decider:
    return replace(decider, genres=("team page",))


def with_settings(**changed: object) -> Change:
    def change(decider: Decider, folder: Path) -> Decider:
        return replace(decider, configuration=replace(decider.configuration, **changed))  # type: ignore[arg-type]

    change.__name__ = "_".join(changed)
    return change


SEEN = (
    *(edited, deleted, one_more_sidecar, write_protected, new_photo, new_photo_of_another_kind, photo_gone),
    *(photo_changed, measured_anew, postponed, taken_back, may_write_anew, folder_file, broken_folder_file),
    *(changed_rule, other_genre, with_settings(five_stars=True), with_settings(when_gone="write")),
    with_settings(sidecar_name="append"),
)


def nothing(decider: Decider, folder: Path) -> Decider:
    return decider


def other_file(decider: Decider, folder: Path) -> Decider:
    (folder / "contract.pdf").write_bytes(b"%PDF")
    return decider


ALL = (*SEEN, nothing, other_file)


def prepared(decider: Decider, folder: Path) -> None:
    for name in NAMES:
        measured(decider, folder / name)
    assert {each.outcome for each in measured_in(decider, the_shoot(folder))} == {Outcome.WRITTEN}


@pytest.mark.parametrize("change", SEEN, ids=lambda change: change.__name__)
def test_each_change_is_seen(exiftool: ExifTool, tmp_path: Path, change: Change) -> None:
    folder = tmp_path / "shoot"
    with open_decider(tmp_path, exiftool) as decider:
        prepared(decider, folder)
        assert unchanged(decider, folder) is not None
        assert unchanged(change(decider, folder), folder) is None


@pytest.mark.parametrize("change", [nothing, other_file], ids=lambda change: change.__name__)
def test_what_matters_not_is_passed_over(exiftool: ExifTool, tmp_path: Path, change: Change) -> None:
    folder = tmp_path / "shoot"
    with open_decider(tmp_path, exiftool) as decider:
        prepared(decider, folder)
        assert unchanged(change(decider, folder), folder) is not None


def test_a_sidecar_that_is_written_between_ours_and_the_end_of_the_pass_is_seen(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    folder = tmp_path / "shoot"
    with open_decider(tmp_path, exiftool) as decider:
        for name in NAMES:
            measured(decider, folder / name)
        shoot, settled = the_shoot(folder), SettledShoots(decider)
        before, left = settled.snapshot(shoot), []
        photos = [photo for path in shoot.photos if (photo := decider.ledger.photos.at(path)) is not None]
        for photo, decision in decider.decide(photos):
            left.append(Left.of(decision))
            if photo.frame.path.name == NAMES[-1]:
                rated_in_place(sidecar_of(folder, 1))
        settled.settle(shoot, before, left)
        assert settled.unchanged(shoot) is None


def test_another_state_of_eyeline_itself_is_seen(
    exiftool: ExifTool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "shoot"
    with open_decider(tmp_path, exiftool) as decider:
        prepared(decider, folder)
        assert unchanged(decider, folder) is not None
        for name, other in (
            ("_own_code", lambda: "later"),
            ("MEASURES_EDITION", settle.MEASURES_EDITION + 1),
        ):
            with monkeypatch.context() as patch:
                patch.setattr(settle, name, other)
                assert unchanged(decider, folder) is None


def test_what_is_settled_of_a_folder_that_is_forgotten_goes(exiftool: ExifTool, tmp_path: Path) -> None:
    folder = tmp_path / "shoot"
    with open_decider(tmp_path, exiftool) as decider:
        prepared(decider, folder)
        decider.ledger.forget(folder)
        assert decider.ledger.settled.of(folder) is None


def test_refused_ones_are_looked_at_in_every_pass(exiftool: ExifTool, tmp_path: Path) -> None:
    folder = tmp_path / "shoot"
    with open_decider(tmp_path, exiftool) as decider:
        prepared(decider, folder)
        write_protected(decider, folder)
        assert Outcome.REFUSED in {each.outcome for each in measured_in(decider, the_shoot(folder))}
        assert unchanged(decider, folder) is None


@settings(
    max_examples=10,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    changes=st.lists(st.sampled_from((*SEEN, nothing, other_file)), min_size=1, max_size=4), passes=st.data()
)
def test_passing_over_never_changes_what_a_whole_pass_would_do(
    exiftool: ExifTool, tmp_path_factory: pytest.TempPathFactory, changes: list[Change], passes: st.DataObject
) -> None:
    """After any changes, with or without a pass between them: what is passed over, a pass leaves as it is."""
    home = tmp_path_factory.mktemp("home")
    folder = home / "shoot"
    with open_decider(home, exiftool) as decider:
        prepared(decider, folder)
        for change in changes:
            try:
                decider = change(decider, folder)
            except (AssertionError, FileNotFoundError, UnsafeSidecar):
                continue  # what it would change is gone
            a_pass_leaves_all_that_is_passed_over(decider, folder)
            if passes.draw(st.booleans(), label="a pass"):
                measured_in(decider, the_shoot(folder))
                a_pass_leaves_all_that_is_passed_over(decider, folder)


def a_pass_leaves_all_that_is_passed_over(decider: Decider, folder: Path) -> None:
    shoot = the_shoot(folder)
    summary = SettledShoots(decider).unchanged(shoot)
    if summary is None:
        return
    sidecars = {path: path.read_bytes() for path in folder.rglob("*.xmp")}
    decisions = measured_in(decider, shoot)
    assert Counter(each.outcome.value for each in decisions) == summary.outcomes
    assert Counter(each.verdict.stars for each in decisions) == summary.stars
    assert {path: path.read_bytes() for path in folder.rglob("*.xmp")} == sidecars
