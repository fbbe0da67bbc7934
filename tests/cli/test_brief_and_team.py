"""`eyeline brief` and `eyeline team` on real frames of three sitters."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Eyeline, copy_frames
from tests.pages.reading import Page

pytestmark = pytest.mark.slow

FRAMES = (
    "NL1_1003.jpg",  # one series: sharp enough, sharp, blink
    "NL1_1005.jpg",
    "NL1_1004.jpg",
    "NL1_1019.jpg",  # looks camera left, copy space left
    "NL1_1028.jpg",
)
BRIEF = """\
[[brief]]
genre = "corporate headshot"
wanted = 2

[[brief]]
genre = "copy space right"
wanted = 2
called = "looking camera right with copy space right"

[[brief]]
genre = "copy space left"
sizes = ["3000x2000"]
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, eyeline: Eyeline) -> Path:
    folder = tmp_path_factory.mktemp("job")
    copy_frames(folder, *FRAMES)
    (folder / "eyeline.toml").write_text(BRIEF)
    ran = eyeline("run", folder, "--dry-run")
    assert ran.returncode == 0, ran.stderr
    return folder


def test_the_brief_says_what_is_there_and_what_is_missing(folder: Path, eyeline: Eyeline) -> None:
    ran = eyeline("brief", folder)
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert lines[0] == f"{len(FRAMES)} photos: 3 still to take."
    assert lines[1] == "  2 of 2  corporate headshot"
    either = ("NL1_1028.jpg, NL1_1005.jpg", "NL1_1005.jpg, NL1_1028.jpg")  # as good as each other, to 0.002
    assert lines[2] in [f"          {names}" for names in either]
    assert lines[3] == "  0 of 2  looking camera right with copy space right"
    assert lines[4].startswith("          nearest NL1_10")
    assert "yields 1800 × 1200 px, wants 3000 × 2000" in " ".join(ran.stdout.split())
    assert lines[-1] == f"The brief: {folder / 'eyeline.toml'}"
    assert max(map(len, lines[:-1])) <= 80


def test_a_brief_in_a_file_of_its_own_counts_instead(folder: Path, eyeline: Eyeline) -> None:
    own = folder / "own.toml"
    own.write_text('[[brief]]\ngenre = "copy space left"\n')
    ran = eyeline("brief", folder, "--brief", own, "--json")
    told: dict[str, Any] = json.loads(ran.stdout)
    (line,) = told["lines"]
    assert told["brief"] == str(own) and line["there"] == ["NL1_1019.jpg"] and line["missing"] == 0


def test_a_brief_with_a_fault_is_told_with_its_line(folder: Path, eyeline: Eyeline) -> None:
    broken = folder / "broken.toml"
    broken.write_text('[[brief]]\ngenre = "copy space lft"\n')
    ran = eyeline("brief", folder, "--brief", broken)
    assert ran.returncode == 2
    assert "no genre is called \"copy space lft\"; did you mean 'copy space left'?" in ran.stderr


def test_a_folder_that_was_never_measured_is_told_so_with_the_command_that_does(
    tmp_path: Path, folder: Path, eyeline: Eyeline
) -> None:
    empty = tmp_path / "two words"
    empty.mkdir()
    for verb in ("brief", "team"):
        ran = eyeline(verb, empty)
        assert ran.returncode == 1
        assert ran.stderr.endswith(f"nothing in it is measured yet. Run: eyeline run '{empty}'\n")


def test_a_photo_where_a_folder_is_wanted_is_told_so(folder: Path, eyeline: Eyeline) -> None:
    photo = folder / FRAMES[0]
    ran = eyeline("sheet", photo)
    assert ran.returncode == 2
    assert f"{photo}: this is no folder. Name the folder in which it lies." in ran.stderr


def test_the_team_stands_alike(folder: Path, eyeline: Eyeline) -> None:
    ran = eyeline("team", folder, "--json")
    assert ran.returncode == 0, ran.stderr
    told: dict[str, Any] = json.loads(ran.stdout)
    members = {member["file"]: member for member in told["members"]}
    assert len(members) == 2 and "NL1_1004.jpg" not in members  # the second sitter looks past the lens
    assert told["without"] == [["NL1_1019.jpg"]]
    for member in members.values():
        assert member["eye_line"] == pytest.approx(told["place"]["eye_line"], abs=0.015)
        assert member["head_height"] == pytest.approx(told["place"]["head_height"], abs=0.02)
        assert member["eye_x"] == pytest.approx(0.5, abs=0.015)
        assert member["pixels"][0] == member["pixels"][1] >= 800
    assert 0 < told["consistency"] <= 1
    words = eyeline("team", folder, "--each-photo").stdout.splitlines()
    assert words[0].startswith("5 sitters: ") and max(map(len, words)) <= 80
    assert sum(str(folder) in line for line in words) == 1, "it stands in what to type next alone"


def test_the_team_is_shown_side_by_side(folder: Path, eyeline: Eyeline, tmp_path: Path) -> None:
    out = tmp_path / "team.html"
    ran = eyeline("team", folder, "--each-photo", "--sheet", out)
    assert ran.returncode == 0, ran.stderr
    assert str(out) in ran.stdout
    page = Page(out.read_bytes())
    members = json.loads(eyeline("team", folder, "--each-photo", "--json").stdout)["members"]
    assert len(page.all("img")) == len(members) > 0
    assert all(misfit in page.text for member in members for misfit in member["misfits"])
    refused = eyeline("team", folder, "--sheet", tmp_path / "team.jpg")
    assert refused.returncode == 2 and not (tmp_path / "team.jpg").exists()
