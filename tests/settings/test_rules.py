"""The rules in force, and what one file would do to them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import checked, rules_in_force

WIDER = 'name = "corporate headshot"\n[criteria.headroom]\nbetween = [0.20, 0.26]\nlimits = [0.17, 0.40]\n'


@pytest.fixture
def configuration(tmp_path: Path) -> Configuration:
    (tmp_path / "rules").mkdir()
    return Configuration(rules=tmp_path / "rules")


def test_a_file_that_breaks_an_heir_is_told_which(configuration: Configuration, tmp_path: Path) -> None:
    """Its own limits lie around its own ideal; those of the genre that inherits them do not."""
    file = tmp_path / "mine.toml"
    file.write_text(WIDER)
    told = [str(each) for each in checked(file, configuration).mistakes]
    assert (
        f"{file}, line 4: criteria.headroom.limits: the limits (0.17 to 0.4) must lie around the ideal "
        "(0.05 to 0.12) (in 'from above', which inherits this)" in told
    )


def test_a_misspelt_criterion_is_said_once_beside_the_name_that_was_meant(
    configuration: Configuration, tmp_path: Path
) -> None:
    """Seven genres inherit the mistake, and another file loses a genre by it: neither is to be mended."""
    file = tmp_path / "mine.toml"
    file.write_text('name = "corporate headshot"\n[criteria.headrom]\nbetween = [0.10, 0.16]\n')
    found = checked(file, configuration)
    assert [str(each) for each in found.mistakes] == [
        f"{file}, line 2: criteria.headrom: missing key measure: a new criterion says what it measures"
    ]
    assert [each.nearest for each in found.doubts] == ["headroom"]


def test_a_share_in_per_cent_and_the_beginning_of_a_key_are_told_as_such(
    configuration: Configuration, tmp_path: Path
) -> None:
    file = tmp_path / "mine.toml"
    head = 'name = "mine"\ninherits = "corporate headshot"\n'
    file.write_text(head + "[criteria.headroom]\nbetween = [6, 12]\nlimits = [0, 30]\n")
    told = [str(each) for each in checked(file, configuration).mistakes]
    assert f"{file}, line 4: criteria.headroom.between: headroom is a share: 6 % is 0.06, not 6" in told
    file.write_text(head + "[faults.eyes_closed]\nstars = 2\n")
    (mistake,) = checked(file, configuration).mistakes
    assert mistake.nearest == "stars_at_most"


def test_only_what_is_wrong_because_of_the_file_is_told(configuration: Configuration, tmp_path: Path) -> None:
    (configuration.rules / "other.toml").write_text('name = "other"\nweigth = 1\n')
    file = tmp_path / "mine.toml"
    file.write_text('name = "corporate headshot"\n[criteria.headroom]\nweight = 4\n')
    assert checked(file, configuration).mistakes == ()


@pytest.mark.parametrize("how", ["pipe", "folder", "not UTF-8", "large"])
def test_what_cannot_be_read_is_told_and_the_rest_is_in_force(how: str, configuration: Configuration) -> None:
    path = configuration.rules / "strange.toml"
    match how:
        case "pipe":
            os.mkfifo(path)
        case "folder":
            path.mkdir()
        case "not UTF-8":
            path.write_bytes(b"name = '\xff'")
        case "large":
            path.write_bytes(b"#" * 70_000)
    (configuration.rules / "sound.toml").write_text('name = "sound"\ninherits = "portrait"\n')
    rules, _ = rules_in_force(configuration)
    assert [each.file for each in rules.mistakes] == [str(path)]
    assert "sound" in rules.rules.genres and "corporate headshot" in rules.rules.genres
    if how != "large":
        with pytest.raises(BadConfiguration):
            checked(path, configuration)


def test_a_file_that_is_not_there_is_told(configuration: Configuration, tmp_path: Path) -> None:
    with pytest.raises(BadConfiguration, match="no such file"):
        checked(tmp_path / "none.toml", configuration)
