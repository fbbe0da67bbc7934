"""Trying to break the way in: masses, depths, hostile names, things that are no files, missing rights."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import textwrap
from collections.abc import Iterator
from pathlib import Path

import pytest

from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.events import Events
from eyeline.intake.obstacle import Obstacle
from eyeline.intake.status import status_of
from tests.intake.desk import Desk

NOBODY = 65534  # the user id that owns nothing


@pytest.mark.slow
def test_five_thousand_photos_moved_in_at_once(tmp_path: Path) -> None:
    (tmp_path / "inbox").mkdir()
    desk = Desk(tmp_path / "inbox", events=True)
    card = tmp_path / "card"
    for folder in range(10):
        (card / str(folder)).mkdir(parents=True)
        for number in range(500):
            (card / str(folder) / f"IMG_{number}.jpg").write_bytes(b"x")
    moved = card.rename(desk.folder / "card")
    desk.until_at_rest()
    desk.stop()
    handed = [path for path, _ in desk.handed]
    assert len(handed) == len(set(handed)) == 5000
    assert set(handed) == set(moved.rglob("*.jpg"))


@pytest.mark.slow
def test_photos_that_come_and_go_in_masses_leave_nothing_behind(tmp_path: Path) -> None:
    desk = Desk(tmp_path, events=True)
    for number in range(2000):
        file = tmp_path / f"{number}.jpg"
        file.write_bytes(b"x")
        file.unlink()
    desk.until_at_rest()
    desk.stop()
    assert desk.handed == []
    assert desk.settling.next_look_s() is None


@pytest.fixture
def deep_tree() -> Iterator[Path]:
    """Deeper than Python may recurse (pytest could not remove it), and than a path may be long."""
    top = Path(os.path.realpath(tempfile.mkdtemp()))
    here = os.open(top, os.O_RDONLY)
    for name in ["d"] * 1100 + ["d" * 250] * 12:
        os.mkdir(name, dir_fd=here)
        below = os.open(name, os.O_RDONLY, dir_fd=here)
        os.close(os.open("a.jpg", os.O_CREAT | os.O_WRONLY, dir_fd=below))
        os.close(here)
        here = below
    os.close(here)
    yield top
    subprocess.run(["rm", "-rf", "--", top], check=True)


@pytest.mark.slow
def test_a_deep_tree_is_walked_to_the_depth_that_paths_reach(deep_tree: Path) -> None:
    """PATH_MAX is 4096 bytes."""
    found = list(catch_up([deep_tree]))
    photos = [one for one in found if isinstance(one, Candidate)]
    assert 1100 < len(photos) < 1112
    assert all(len(os.fsencode(photo.path)) < 4096 for photo in photos)
    problems = [one for one in found if isinstance(one, Obstacle)]
    assert problems
    assert all("too long" in problem.what and "Shorten" in problem.cure for problem in problems)
    events = Events([deep_tree], lambda path, kind: None)
    events.start()
    events.stop()


@pytest.mark.parametrize(
    "name", ["x" * 251 + ".jpg", "ü" * 125 + "x.jpg", os.fsdecode(b"\xff" * 251 + b".jpg")]
)
def test_names_of_255_bytes(tmp_path: Path, name: str) -> None:
    assert len(os.fsencode(name)) == 255
    desk = Desk(tmp_path, events=True)
    (tmp_path / name).write_bytes(b"x")
    desk.until_at_rest()
    desk.stop()
    assert [path for path, _ in desk.handed] == [tmp_path / name]


def test_a_link_that_is_laid_where_a_photo_was_is_not_followed(tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.write_bytes(b"x")
    (tmp_path / "inbox").mkdir()
    (tmp_path / "inbox" / "a.jpg").symlink_to(secret)
    assert status_of(tmp_path / "inbox" / "a.jpg") is None


@pytest.mark.parametrize("path", ["/dev/null", "/dev/zero", "nul\0.jpg", "x" * 5000, ""])
def test_looking_at_what_is_no_file(path: str) -> None:
    assert status_of(Path(path)) is None


def test_walking_what_cannot_be(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(b"x")
    paths = [
        Path("nul\0"),
        Path("x" * 5000),
        tmp_path / "a.jpg" / "below a file",
        Path("/dev/null"),
        tmp_path,
    ]
    found = list(catch_up(paths))
    assert [type(one) for one in found] == [Obstacle] * 4 + [Candidate]


@pytest.fixture
def few_open_files() -> Iterator[None]:
    limits = resource.getrlimit(resource.RLIMIT_NOFILE)
    next_free = os.dup(0)
    os.close(next_free)
    resource.setrlimit(resource.RLIMIT_NOFILE, (next_free, limits[1]))
    yield
    resource.setrlimit(resource.RLIMIT_NOFILE, limits)


def test_too_many_open_files_is_a_problem_with_its_cure(tmp_path: Path, few_open_files: None) -> None:
    (problem,) = catch_up([tmp_path])
    assert isinstance(problem, Obstacle)
    assert "Too many open files" in problem.what
    assert "ulimit -n" in problem.cure


# Run as a child, since whoever has given up root cannot take it back.
_AS_NOBODY = """
    import os, sys
    from pathlib import Path
    from eyeline.intake.catch_up import catch_up
    from eyeline.intake.events import Events
    inbox = Path(sys.argv[1])
    if os.geteuid() == 0:
        os.setgroups([])
        os.setgid(int(sys.argv[2]))
        os.setuid(int(sys.argv[2]))
    for found in catch_up([inbox]):
        print("scan", found if hasattr(found, "cure") else found.path.name)
    events = Events([inbox, inbox / "locked"], lambda path, kind: None)
    for problem in events.start():
        print("events", problem)
    events.stop()
    only_locked = Events([inbox / "locked"], lambda path, kind: None)
    for problem in only_locked.start():
        print("locked", problem)
    only_locked.stop()
"""


@pytest.fixture
def open_to_all() -> Iterator[Path]:
    """A folder that other users may enter, which pytest's own are not."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(os.path.realpath(name))
        folder.chmod(0o755)
        yield folder


def test_folders_without_rights_are_told_and_the_others_go_on(open_to_all: Path) -> None:
    inbox = open_to_all / "inbox"
    for name in ("locked", "listed", "open"):
        (inbox / name).mkdir(parents=True)
        (inbox / name / "a.jpg").write_bytes(b"x")
    (inbox / "listed" / "b.jpg").write_bytes(b"x")
    (inbox / "listed" / "folder").mkdir()
    (inbox / "locked").chmod(0)
    (inbox / "listed").chmod(0o444)
    command = [sys.executable, "-c", textwrap.dedent(_AS_NOBODY), str(inbox), str(NOBODY)]
    try:
        done = subprocess.run(command, capture_output=True, text=True)
    finally:
        (inbox / "locked").chmod(0o755)
        (inbox / "listed").chmod(0o755)
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert lines[0].startswith(f"scan {inbox}/listed: this folder cannot be entered: Permission denied. Give")
    assert lines[1].startswith(f"scan {inbox}/locked: this folder cannot be listed: Permission denied. Give")
    assert lines[2] == "scan a.jpg"
    assert lines[3].startswith(
        f"locked {inbox}/locked: this folder cannot be listened to: Permission denied."
    )
    assert len(lines) == 4
