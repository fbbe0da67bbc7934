"""Changes in the user's own rule file: only what is proposed, comments and all else kept."""

from __future__ import annotations

import tomllib
from math import inf
from pathlib import Path

import pytest

from eyeline.agreement.proposal import CutChange, RangeChange, WeightChange
from eyeline.errors import BadConfiguration
from eyeline.settings.configuration import Configuration
from eyeline.settings.own_genre import edit, edit_what_fits
from eyeline.settings.rules import rules_in_force

GENRE = "corporate headshot"
CHANGES = (
    WeightChange("sharp_eye", 3.5, 5.0),
    RangeChange("turn", "head_yaw_deg", (-12, 5, 25, 65), (-20, 0, 20, 60)),
    RangeChange("edge", "edge_room", (-0.2, 0.4, inf, inf), (0.0, 0.6, inf, inf)),
    CutChange("four", 0.9, 0.85),
)
OWN = """\
# mine, do not touch
name = "corporate headshot"   # the shipped one

[criteria.sharp_eye]
weight = 4.0   # clients look closely

[criteria.turn]
between = [4, 24]  # degrees
"""


@pytest.fixture
def configuration(tmp_path: Path) -> Configuration:
    (tmp_path / "rules").mkdir()
    return Configuration(rules=tmp_path / "rules", ledger=tmp_path / "ledger.sqlite3")


def test_a_new_file_says_only_what_changes_and_takes_effect(configuration: Configuration) -> None:
    made = edit(GENRE, CHANGES, configuration)
    assert not made.file.exists(), "nothing is written until apply"
    made.apply()
    assert tomllib.loads(made.file.read_text()) == {
        "name": GENRE,
        "criteria": {
            "sharp_eye": {"weight": 5.0},
            "turn": {"between": [0, 20], "limits": [-20, 60]},
            "edge": {"at_least": 0.6, "worst": 0.0},
        },
        "stars": {"four": 0.85},
    }
    rules, _ = rules_in_force(configuration)
    assert rules.mistakes == ()
    genre = rules.rules.genre(GENRE)
    assert {each.name: each.weight for each in genre.criteria}["sharp_eye"] == 5.0
    assert genre.stars.four == 0.85


def test_comments_and_everything_else_stay(configuration: Configuration) -> None:
    file = configuration.rules / "my own.toml"
    file.write_text(OWN)
    made = edit(GENRE, CHANGES, configuration)
    assert made.file == file
    for kept in ("# mine, do not touch", "# the shipped one", "# clients look closely", "# degrees"):
        assert kept in made.after
    assert tomllib.loads(made.after)["criteria"]["sharp_eye"]["weight"] == 5.0
    assert "-weight = 4.0" in made.difference()
    assert file.read_text() == OWN


def test_ranges_that_cannot_meet_are_left_as_they_are(configuration: Configuration) -> None:
    impossible = RangeChange("headroom", "headroom", (-0.03, 0.06, 0.12, 0.34), (0.6, 0.7, 0.8, 0.9))
    made = edit(GENRE, (*CHANGES, impossible), configuration)
    written = tomllib.loads(made.after)["criteria"]
    assert "headroom" not in written
    assert written["sharp_eye"]["weight"] == 5.0


def test_a_file_that_is_broken_is_not_made_worse(configuration: Configuration) -> None:
    file = configuration.rules / "mine.toml"
    file.write_text(f'name = "{GENRE}"\n[criteria.nonsense]\nweight = 1\n')
    with pytest.raises(BadConfiguration, match="mistakes"):
        edit(GENRE, CHANGES, configuration)


def test_a_mistake_that_is_there_already_is_no_range_s_fault(configuration: Configuration) -> None:
    (configuration.rules / "mine.toml").write_text(f'name = "{GENRE}"\n[criteria.headroom]\nweigth = 1\n')
    with pytest.raises(BadConfiguration, match=r"mine\.toml, line 3"):
        edit_what_fits(GENRE, [CHANGES[1:2]], configuration)
