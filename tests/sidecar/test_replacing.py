"""Two writers on one sidecar, and what a killed one leaves: the edit of the other is never lost."""

import dataclasses
import errno
import multiprocessing
import os
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.sidecar.annotate import ATTEMPTS
from eyeline.sidecar.outcome import Result
from eyeline.sidecar.replacing import Interrupted, put_in_place, read_whole, remove_leftovers, working_copy
from eyeline.system import renaming
from tests.sidecar.examples import EXAMPLE, LATER, edit, names, write
from tests.sidecar.readers import by_exiftool
from tests.sidecar.test_two_processes import annotate_for_ever

NOW = datetime.now(UTC)


def no_exchange(source: Path, target: Path, flag: int) -> int:
    """A file system that knows no rename flags."""
    return errno.EINVAL


@pytest.fixture(params=["exchange", "no exchange"])
def rename(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    if request.param == "no exchange":
        monkeypatch.setattr(renaming, "rename", no_exchange)
    elif not sys.platform.startswith("linux"):
        pytest.skip("renameat2 is Linux's")
    return str(request.param)


def test_this_system_can_exchange(tmp_path: Path) -> None:
    """Otherwise the tests of the exchange would test the other way without saying so."""
    if not sys.platform.startswith("linux"):
        pytest.skip("renameat2 is Linux's")
    (tmp_path / "a").write_text("1")
    (tmp_path / "b").write_text("2")
    assert renaming.rename(tmp_path / "a", tmp_path / "b", renaming.EXCHANGE) == 0
    assert (tmp_path / "a").read_text() == "2"


def test_a_change_before_the_rename_is_found_and_stands(rename: str, tmp_path: Path) -> None:
    target = tmp_path / "a.xmp"
    target.write_bytes(b"before")
    with working_copy(target, b"ours") as copy:
        target.write_bytes(b"theirs")
        with pytest.raises(Interrupted):
            put_in_place(copy, target, b"before")
    assert target.read_bytes() == b"theirs"
    assert names(tmp_path) == ["a.xmp"]


def test_a_file_that_appeared_is_not_written_over(rename: str, tmp_path: Path) -> None:
    target = tmp_path / "a.xmp"
    with working_copy(target, b"ours") as copy:
        target.write_bytes(b"theirs")
        with pytest.raises(Interrupted):
            put_in_place(copy, target, None)
    assert target.read_bytes() == b"theirs"
    assert names(tmp_path) == ["a.xmp"]


def test_a_file_that_disappeared_stays_away(rename: str, tmp_path: Path) -> None:
    target = tmp_path / "a.xmp"
    target.write_bytes(b"before")
    with working_copy(target, b"ours") as copy:
        target.unlink()
        with pytest.raises(Interrupted):
            put_in_place(copy, target, b"before")
    assert names(tmp_path) == []


@pytest.mark.parametrize("before", [None, b"before"])
def test_undisturbed_it_is_put_in_place(rename: str, tmp_path: Path, before: bytes | None) -> None:
    target = tmp_path / "a.xmp"
    if before is not None:
        target.write_bytes(before)
    with working_copy(target, b"ours") as copy:
        put_in_place(copy, target, before)
    assert target.read_bytes() == b"ours"
    assert names(tmp_path) == ["a.xmp"]


def test_two_more_writers_within_the_exchange(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Theirs is displaced, goes back, and displaces a still newer one, which goes back in turn."""
    target = tmp_path / "a.xmp"
    target.write_bytes(b"first")
    real = renaming.rename
    newer = iter([b"second", b"third", None])

    def busy(source: Path, goal: Path, flag: int) -> int:
        content = next(newer)
        if content is not None:
            goal.write_bytes(content)
        return real(source, goal, flag)

    monkeypatch.setattr(renaming, "rename", busy)
    with working_copy(target, b"ours") as copy, pytest.raises(Interrupted):
        put_in_place(copy, target, b"first")
    assert target.read_bytes() == b"third"


class Meanwhile:
    """Lets another program act after ExifTool has edited our copy, before the copy takes its place."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, act: Callable[[int], None], times: int) -> None:
        self.calls = 0
        real = ExifTool.edit

        def edit_then_act(tool: ExifTool, path: Path, assignments: list[str]) -> None:
            real(tool, path, assignments)
            self.calls += 1
            if self.calls <= times:
                act(self.calls)

        monkeypatch.setattr(ExifTool, "edit", edit_then_act)


def test_an_edit_in_the_window_is_read_and_merged(
    rename: str, exiftool: ExifTool, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = write(exiftool, photo)
    act = Meanwhile(
        monkeypatch, lambda _: edit(first.sidecar, "-XMP-xmp:Rating=5", "-XMP-dc:Subject+=client"), 1
    )
    wish = dataclasses.replace(EXAMPLE, stars=2, keywords=("blink",))
    outcome = write(exiftool, photo, wish, first.written, now=LATER)
    assert act.calls == 2
    assert outcome.result is Result.WRITTEN
    seen = by_exiftool(first.sidecar)
    assert seen.rating == "5"
    assert seen.keywords == {"client", "blink"}
    assert "the rating (5 in the sidecar)" in outcome.left


def test_a_sidecar_born_in_the_window_is_read_and_merged(
    rename: str, exiftool: ExifTool, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Meanwhile(monkeypatch, lambda _: edit(photo.with_suffix(".xmp"), "-XMP-xmp:Rating=1"), 1)
    outcome = write(exiftool, photo)
    seen = by_exiftool(outcome.sidecar)
    assert (seen.rating, seen.keywords) == ("1", frozenset(EXAMPLE.keywords))
    assert outcome.written is not None
    assert not outcome.written.created


def test_a_writer_that_never_rests_is_left_alone(
    rename: str, exiftool: ExifTool, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sidecar = photo.with_suffix(".xmp")
    edit(sidecar, "-XMP-dc:Subject=word0")
    act = Meanwhile(monkeypatch, lambda call: edit(sidecar, f"-XMP-dc:Subject+=word{call}"), 99)
    outcome = write(exiftool, photo)
    assert outcome.result is Result.REFUSED
    assert "keeps changing" in outcome.sentence
    assert act.calls == ATTEMPTS
    assert by_exiftool(sidecar).keywords == {f"word{number}" for number in range(ATTEMPTS + 1)}
    assert names(photo.parent) == ["IMG_1.jpg", "IMG_1.xmp"]


class TestLeftovers:
    def test_those_of_a_dead_process_go_and_no_others(self, tmp_path: Path) -> None:
        dead = os.fork()
        if dead == 0:
            os._exit(0)
        os.waitpid(dead, 0)
        gone = [f".eyeline-{dead}-abc.xmp", f".eyeline-{dead}-abc.xmp_exiftool_tmp"]
        stay = [
            f".eyeline-{os.getpid()}-abc.xmp",
            ".eyeline-notes",
            ".eyeline-1x-a.xmp",
            "IMG_1.xmp",
            ".hidden.xmp",
        ]
        for name in gone + stay:
            (tmp_path / name).touch()
        assert sorted(path.name for path in remove_leftovers(tmp_path, NOW)) == sorted(gone)
        assert names(tmp_path) == sorted(stay)

    def test_an_old_one_goes_though_its_number_lives_again(self, tmp_path: Path) -> None:
        (tmp_path / f".eyeline-{os.getpid()}-abc.xmp").touch()
        assert len(remove_leftovers(tmp_path, datetime.now(UTC) + timedelta(hours=2))) == 1
        assert names(tmp_path) == []

    def test_a_killed_writer_leaves_the_sidecar_whole_and_its_copy_is_removed(self, photo: Path) -> None:
        """kill -9 at ten moments while the working copy is there."""
        sidecar = photo.with_suffix(".xmp")
        edit(sidecar, "-XMP-dc:Subject=base")
        left = 0
        for _ in range(10):
            ours = multiprocessing.get_context("fork").Process(
                target=annotate_for_ever, args=(photo,), daemon=True
            )
            ours.start()
            while not any(name.startswith(".eyeline-") for name in names(photo.parent)):
                time.sleep(0.0005)
            ours.kill()
            ours.join()
            assert "base" in by_exiftool(sidecar).keywords
            left += len(remove_leftovers(photo.parent, datetime.now(UTC)))
            assert names(photo.parent) == ["IMG_1.jpg", "IMG_1.xmp"]
        assert left > 0


def test_a_sidecar_is_read_whole_or_not_at_all(tmp_path: Path) -> None:
    assert read_whole(tmp_path / "none.xmp") is None
    (tmp_path / "a.xmp").write_bytes(b"x" * 100_000)
    content = read_whole(tmp_path / "a.xmp")
    assert content is not None
    assert len(content) == 100_000
