"""Walking what is there: real folders, each photo once, in order, every obstacle told."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.intake.catch_up import Candidate, catch_up, natural_key
from eyeline.intake.obstacle import Obstacle
from eyeline.intake.status import status_of


def put(path: Path, content: bytes = b"x") -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return path


def photos(paths: Iterable[Path]) -> list[Path]:
    return [found.path for found in catch_up(paths) if isinstance(found, Candidate)]


def problems(paths: Iterable[Path]) -> list[Obstacle]:
    return [found for found in catch_up(paths) if isinstance(found, Obstacle)]


def test_photos_are_found_in_the_order_in_which_people_count(tmp_path: Path) -> None:
    names = ["IMG_9.jpg", "img_10.JPG", "IMG_11.jpeg", "b/IMG_1.jpg", "day 2/a.jpg", "day 10/a.jpg"]
    for name in reversed(names):
        put(tmp_path / name)
    assert photos([tmp_path]) == [tmp_path / name for name in names]
    assert problems([tmp_path]) == []


def test_a_candidate_carries_its_status(tmp_path: Path) -> None:
    file = put(tmp_path / "a.jpg", b"12345")
    (found,) = catch_up([tmp_path])
    status = file.stat()
    assert isinstance(found, Candidate)
    assert found.status == status_of(file)
    assert (found.status.size, found.status.mtime_ns) == (5, status.st_mtime_ns)
    assert (found.status.inode, found.status.device) == (status.st_ino, status.st_dev)


def test_ignored_files_and_folders_are_passed_over(tmp_path: Path) -> None:
    for name in [
        ".a.jpg",
        "a.xmp",
        "a.jpg.part",
        "a.txt",
        ".cache/a.jpg",
        "$RECYCLE.BIN/a.jpg",
        "lost+found/a.jpg",
    ]:
        put(tmp_path / name)
    assert list(catch_up([tmp_path])) == []


def test_a_watched_folder_may_itself_be_hidden(tmp_path: Path) -> None:
    file = put(tmp_path / ".inbox" / "a.jpg")
    assert photos([tmp_path / ".inbox"]) == [file]
    assert photos([tmp_path, tmp_path / ".inbox"]) == [file]


def test_overlapping_folders_yield_each_photo_once(tmp_path: Path) -> None:
    file = put(tmp_path / "a" / "b" / "x.jpg")
    (tmp_path / "link").symlink_to("a")
    assert photos([tmp_path / "a" / "b", tmp_path, tmp_path / "a", tmp_path / "link", file]) == [file]


def test_a_folder_mounted_twice_yields_each_photo_once(tmp_path: Path) -> None:
    """Bind mounts, made in a namespace of the child's own."""
    put(tmp_path / "a" / "x.jpg")
    (tmp_path / "b").mkdir()
    script = """if True:
        from pathlib import Path
        from eyeline.intake.catch_up import catch_up
        print(Path("b/x.jpg").exists(), [found.path.name for found in catch_up([Path()])])
    """
    in_namespace = ["unshare", "-U", "-r", "-m", "sh", "-c"]
    try:
        subprocess.run([*in_namespace, "mount --bind a b"], cwd=tmp_path, check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this machine has no namespaces to mount in")
    command = [*in_namespace, 'mount --bind a b && exec "$0" -c "$1"', sys.executable, script]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True)
    assert (done.stdout, done.stderr) == ("True ['x.jpg']\n", "")


def test_a_single_file_may_be_watched(tmp_path: Path) -> None:
    file = put(tmp_path / "a.jpg")
    hidden = put(tmp_path / ".b.jpg")
    assert photos([file, hidden]) == [file, hidden]
    assert photos([hidden, tmp_path]) == [hidden, file]


def test_a_single_file_of_another_kind_is_a_problem(tmp_path: Path) -> None:
    (problem,) = problems([put(tmp_path / "a.txt")])
    assert problem.path == tmp_path / "a.txt"
    assert ".jpg" in problem.cure


def test_a_missing_folder_is_a_problem_and_the_others_go_on(tmp_path: Path) -> None:
    file = put(tmp_path / "here" / "a.jpg")
    (problem,) = problems([tmp_path / "nowhere", tmp_path / "here"])
    assert str(problem).startswith(f"{tmp_path / 'nowhere'}: this path is not there. ")
    assert photos([tmp_path / "nowhere", tmp_path / "here"]) == [file]


class TestSymbolicLinks:
    def test_a_link_to_a_photo_inside_is_that_photo(self, tmp_path: Path) -> None:
        file = put(tmp_path / "a" / "x.jpg")
        (tmp_path / "y.jpg").symlink_to("a/x.jpg")
        (tmp_path / "again").symlink_to("a", target_is_directory=True)
        assert list(catch_up([tmp_path])) == [Candidate(file, status_of(file))]  # type: ignore[arg-type]

    def test_links_that_lead_out_are_told_and_not_followed(self, tmp_path: Path) -> None:
        outside = put(tmp_path / "outside" / "x.jpg")
        (tmp_path / "in").mkdir()
        (tmp_path / "in" / "x.jpg").symlink_to(outside)
        (tmp_path / "in" / "folder").symlink_to(outside.parent)
        found = list(catch_up([tmp_path / "in"]))
        assert all(isinstance(one, Obstacle) and "leads out" in one.what for one in found)
        assert [one.path.name for one in found] == ["folder", "x.jpg"]

    def test_a_link_into_another_watched_folder_is_no_problem(self, tmp_path: Path) -> None:
        outside = put(tmp_path / "other" / "x.jpg")
        (tmp_path / "in").mkdir()
        (tmp_path / "in" / "x.jpg").symlink_to(outside)
        assert [found.path for found in catch_up([tmp_path / "in", tmp_path / "other"])] == [outside]

    def test_circles_end(self, tmp_path: Path) -> None:
        file = put(tmp_path / "a" / "x.jpg")
        (tmp_path / "a" / "up").symlink_to("..")
        (tmp_path / "self.jpg").symlink_to("self.jpg")
        assert photos([tmp_path]) == [file]
        assert ["leads nowhere" in problem.what for problem in problems([tmp_path])] == [True]

    def test_a_dangling_link_is_a_problem_if_it_is_named_as_a_photo(self, tmp_path: Path) -> None:
        (tmp_path / "a.jpg").symlink_to("gone.jpg")
        (tmp_path / "notes").symlink_to("gone")
        assert [problem.path.name for problem in problems([tmp_path])] == ["a.jpg"]


@pytest.mark.parametrize(
    "name", [b"new\nline.jpg", b"-rf.jpg", b"\xff\xfe.jpg", b"$(id).jpg", b"a\x1b[2J.jpg", b" .jpg"]
)
def test_hostile_names_pass_through(tmp_path: Path, name: bytes) -> None:
    file = put(tmp_path / os.fsdecode(name))
    assert photos([tmp_path]) == [file]
    assert os.fsencode(photos([tmp_path])[0].name) == name


def test_problems_with_hostile_names_stay_on_one_line(tmp_path: Path) -> None:
    (tmp_path / os.fsdecode(b"a\n\x1b[2J\xff.jpg")).symlink_to("gone")
    assert str(problems([tmp_path])[0]).isprintable()


def test_what_is_no_regular_file_is_told(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    with socket.socket(socket.AF_UNIX) as listener:
        listener.bind(str(tmp_path / "socket.jpg"))
        found = list(catch_up([tmp_path]))
        assert all(isinstance(one, Obstacle) and "pipe, socket or device" in one.what for one in found)
        assert [one.path.name for one in found] == ["pipe.jpg", "socket.jpg"]
        assert len(problems([tmp_path / "pipe.jpg"])) == 1


def test_a_folder_named_as_a_photo_is_a_folder(tmp_path: Path) -> None:
    file = put(tmp_path / "x.jpg" / "y.jpg")
    assert photos([tmp_path]) == [file]


def test_what_vanishes_during_the_walk_is_not_mentioned(tmp_path: Path) -> None:
    put(tmp_path / "a.jpg")
    put(tmp_path / "b" / "b.jpg")
    put(tmp_path / "c" / "c.jpg")
    walk = catch_up([tmp_path])
    assert next(walk).path.name == "a.jpg"
    (tmp_path / "b" / "b.jpg").unlink()
    (tmp_path / "b").rmdir()
    assert [found.path.name for found in walk] == ["c.jpg"]


@given(st.data(), st.lists(st.text(alphabet="aB1029_\udcff²٣", max_size=8)))
def test_the_order_does_not_depend_on_the_order_of_listing(data: st.DataObject, names: list[str]) -> None:
    shuffled = data.draw(st.permutations(names))
    assert sorted(shuffled, key=natural_key) == sorted(names, key=natural_key)
