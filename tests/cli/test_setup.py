"""`eyeline setup`: asked or told by flags, it writes a configuration that holds, and never over one."""

from __future__ import annotations

import io
import tomllib
from pathlib import Path

import pytest

from eyeline.settings.configuration import load_configuration
from tests.cli.conftest import in_one_line, run_here


def config(home: Path) -> Path:
    return home / ".config" / "eyeline" / "config.toml"


@pytest.fixture
def shoots(tmp_path: Path) -> Path:
    folder = tmp_path / "my shoots, of all years"
    folder.mkdir()
    return folder


def test_by_flags_nothing_is_asked_and_what_was_said_is_in_force(tmp_path: Path, shoots: Path) -> None:
    words = ["--folder", shoots, "--genre", "team page", "--write", "embedded", "--no-service"]
    ran = run_here(tmp_path, "setup", *words)
    assert ran.returncode == 0 and not ran.stderr
    found = load_configuration(config(tmp_path))
    assert [each.path for each in found.folders] == [shoots]
    assert (found.genres, found.write) == (("team page",), "embedded")
    assert max(map(len, config(tmp_path).read_text().splitlines())) <= 120


def test_without_a_terminal_what_is_not_said_has_its_default(tmp_path: Path) -> None:
    ran = run_here(tmp_path, "setup")
    assert ran.returncode == 0, ran.stderr
    assert tomllib.loads(config(tmp_path).read_text()) == {"write": "sidecar"}
    assert "eyeline run FOLDER --dry-run" in in_one_line(ran.stdout)


def test_a_configuration_that_is_there_stays(tmp_path: Path) -> None:
    config(tmp_path).parent.mkdir(parents=True)
    config(tmp_path).write_text("workers = 3\n")
    ran = run_here(tmp_path, "setup", "--write", "embedded")
    assert ran.returncode == 2 and "already" in ran.stderr
    assert config(tmp_path).read_text() == "workers = 3\n"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--folder", "nowhere"], "there is no such folder"),
        (["--genre", "corporate hedshot"], "no genre is called"),
    ],
)
def test_what_is_wrong_is_said_before_anything_is_written(
    tmp_path: Path, words: list[str], said: str
) -> None:
    ran = run_here(tmp_path, "setup", *words)
    assert ran.returncode == 2 and said in ran.stderr
    assert not config(tmp_path).exists()


class Keyboard(io.StringIO):
    """Somebody who types."""

    def isatty(self) -> bool:
        return True


def test_at_a_terminal_four_questions_are_asked_and_a_slip_is_asked_again(
    tmp_path: Path, shoots: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = shoots.rename(tmp_path / "shoots")
    typed = ["nowhere", str(folder), "headshots", "corporate headshot, team page", "3", "2", "", ""]
    monkeypatch.setattr("sys.stdin", Keyboard("\n".join(typed)))
    ran = run_here(tmp_path, "setup")
    assert ran.returncode == 0, ran.stderr
    said = in_one_line(ran.stdout)
    assert all(f"{number}. " in said for number in (1, 2, 3, 4))
    assert "there is no such folder" in said and "no genre is called 'headshots'" in said
    found = load_configuration(config(tmp_path))
    assert [each.path for each in found.folders] == [folder]
    assert (found.genres, found.write) == (("corporate headshot", "team page"), "embedded")
    assert max(map(len, ran.stdout.splitlines())) <= max(80, len(str(tmp_path)) + 40)
