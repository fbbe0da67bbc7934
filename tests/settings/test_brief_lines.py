"""`[[brief]]` tables: what is read, and that every fault is told with its line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.settings.brief_lines import brief_file
from eyeline.settings.folder_file import FILE_NAME, folder_file
from eyeline.sitting.brief import BriefLine
from tests.judging.shipped import ROOT, rules

KNOWN = {"corporate headshot", "team page", "copy space right"}
BRIEF = """\
[[brief]]
genre = "corporate headshot"
wanted = 3
sizes = ["1600x2000", "800 × 800"]

[[brief]]
genre = "copy space right"
called = "for the banner"
"""
LINES = (
    BriefLine("corporate headshot", 3, ((1600, 2000), (800, 800))),
    BriefLine("copy space right", called="for the banner"),
)


def test_a_brief_in_a_file_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(BRIEF)
    assert brief_file(path, KNOWN) == LINES


def test_a_brief_in_the_folders_file_chooses_genres_too(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_text('genres = ["team page", "copy space right"]\n' + BRIEF)
    read = folder_file(tmp_path, tmp_path, KNOWN)
    assert read.fault is None and read.brief == LINES
    assert read.genres == ("team page", "copy space right", "corporate headshot")


def test_every_fault_is_told_at_once_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(
        '[[brief]]\ngenre = "corporate headsot"\n[[brief]]\nwanted = 0\nsizes = ["big"]\n'
        '[[brief]]\ngenre = "team page"\nsize = 1\n[[brief]]\ngenre = "team page"\n'
    )
    with pytest.raises(BadConfiguration) as told:
        brief_file(path, KNOWN)
    for part in (
        'line 2: brief[0].genre: no genre is called "corporate headsot"; did you mean \'corporate headshot',
        "line 3: brief[1]: this line of the brief has no genre",
        "line 4: brief[1].wanted: expected a whole number from 1 to 1000, found 0",
        'line 5: brief[1].sizes: expected a list of sizes in pixels, such as ["1600x2000"], found ["big"]',
        "line 8: brief[2].size: unknown key; did you mean 'sizes'?",
        'line 10: brief[3].genre: "team page" has a line already',
    ):
        assert part in str(told.value)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "has no line"),
        ("brief = 1", "brief: expected a table for each, as under [[ ]], found 1"),
        ("brief = [1]", "brief[0]: expected a table, found 1"),
        ("genres = []\n" + BRIEF, "line 1: genres: unknown key"),
        ('[[brief]]\ngenre = "team page"\nsizes = ["0x5"]', "line 3: brief[0].sizes: expected"),
        ('[[brief]]\ngenre = "team page"\nsizes = ["999999x5"]', "line 3: brief[0].sizes: expected"),
        ('[[brief]]\ngenre = "team page"\nwanted = true', "line 3: brief[0].wanted: expected"),
        ("[[brief]]\ngenre = 3", "line 2: brief[0].genre: expected text on one line, found 3"),
    ],
)
def test_what_is_no_brief(tmp_path: Path, text: str, part: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(text)
    with pytest.raises(BadConfiguration) as told:
        brief_file(path, KNOWN)
    assert part in str(told.value) and str(path) in str(told.value)


EXAMPLES = re.findall(r"```toml\n(.*?)```", (ROOT / "docs/brief.md").read_text("utf-8"), re.DOTALL)


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_example_of_the_documentation_is_sound(example: str, tmp_path: Path) -> None:
    assert len(EXAMPLES) >= 3
    (tmp_path / FILE_NAME).write_text(example)
    (tmp_path / "employees.csv").write_text("17,Alva Example\n")
    read = folder_file(tmp_path, tmp_path, rules().genres)
    assert read.fault is None and read.genres


def test_a_brief_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadConfiguration, match="no such file"):
        brief_file(tmp_path / "none.toml", KNOWN)
