"""A brief from nothing: written, checked, judged by, and what is wrong with one that was changed."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from eyeline.settings.folder_file import FILE_NAME
from eyeline.settings.new_brief import new_brief
from eyeline.settings.rules import DEFAULT_BRIEF
from tests.cli.conftest import run_here
from tests.judging.shipped import rules


def test_a_new_brief_asks_for_what_is_usual_and_is_sound(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    ran = run_here(tmp_path, "brief", "--new", job)
    assert ran.returncode == 0 and str(job / FILE_NAME) in ran.stdout
    tree = tomllib.loads((job / FILE_NAME).read_text("utf-8"))
    assert [line["genre"] for line in tree["brief"]] == list(DEFAULT_BRIEF)
    checked = run_here(tmp_path, "brief", "check", job / FILE_NAME)
    assert checked.returncode == 0 and "no mistakes" in checked.stdout
    assert checked.stdout.count("1 × ") == len(DEFAULT_BRIEF)


def test_what_is_commented_out_is_sound_too() -> None:
    """Every example in the comments can be used as it stands, by taking the sign away."""
    text = new_brief(rules().genres)
    examples = re.findall(r"^# ((?:\[\[|\w+ = ).*)$", text, re.MULTILINE)
    tree = tomllib.loads("\n".join(examples))
    assert tree["sitting"] and set(tree["brief"][0]) == {"genre", "wanted", "sizes", "called", "per"}
    assert all(f"#   {name} " in text for name in rules().genres)


def test_a_brief_that_is_there_is_never_written_over(tmp_path: Path) -> None:
    folder = tmp_path / "two words"
    folder.mkdir()
    (folder / FILE_NAME).write_text("genres = []")
    ran = run_here(tmp_path, "brief", "--new", folder)
    assert ran.returncode == 2 and "has a brief already" in ran.stderr
    assert ran.stderr.endswith(f"eyeline brief check '{folder / FILE_NAME}'\n"), "it can be typed anywhere"
    assert (folder / FILE_NAME).read_text() == "genres = []"


@pytest.mark.parametrize("name", [FILE_NAME, "job.toml"])
def test_check_tells_every_mistake_with_its_line(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text('[[brief]]\ngenre = "team pge"\nwanted = 0\n')
    ran = run_here(tmp_path, "brief", "check", tmp_path / name)
    assert ran.returncode == 2
    assert "line 2: brief[0].genre: no genre is called \"team pge\"; did you mean 'team page'?" in ran.stderr
    assert "line 3: brief[0].wanted: expected a whole number from 1 to 1000, found 0" in ran.stderr


@pytest.mark.parametrize(
    "words", [["check", "none.toml"], ["check", FILE_NAME], ["--new", "none"], ["a", "b"]]
)
def test_what_is_not_there_is_a_usage_error(words: list[str], tmp_path: Path) -> None:
    ran = run_here(tmp_path, "brief", *words)
    assert ran.returncode == 2 and ran.stderr.startswith("eyeline: ")
