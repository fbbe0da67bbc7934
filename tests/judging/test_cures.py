"""Cures: what would have made a frame better, in the words of its genre."""

from __future__ import annotations

import pytest

from eyeline.judging.cures import MOST, cures
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import read_rules
from eyeline.terms.verdict import Reason
from tests.judging.photos import judged, photo, sitter
from tests.judging.shipped import QUANTITIES, rules, shipped_files, vocabulary

GENRE = "corporate headshot"


def cured(measurements, genre: str = GENRE) -> list[str]:
    verdict = judged([measurements], (genre,)).verdict(0)
    return cures(verdict.reasons, rules().genre(genre))


def test_a_cure_says_what_to_do_what_was_found_and_what_is_wanted() -> None:
    assert "step back: the crown is 1.6 % from the top edge; 6 to 12 % is wanted" in cured(
        photo(sitter(0.24, 0.44))
    )


def test_a_cure_goes_the_right_way() -> None:
    assert cured(photo(head_yaw_deg=-50.0))[0].startswith("turn the face back to the lens: ")
    assert cured(photo(head_pitch_deg=-25.0))[0].startswith("chin up: ")
    assert cured(photo(head_pitch_deg=25.0))[0].startswith("chin down: ")
    assert any(each.startswith("come closer: ") for each in cured(photo(sitter(0.34, 0.20))))


def test_a_fault_has_its_own_cure_else_that_of_what_judges_its_measure() -> None:
    assert cured(photo(exposure_off_stops=-1.5))[0] == "wait until the flash is ready again"
    assert cured(photo(exposure_off_stops=1.5))[0] == "less light on the face"


def test_a_word_and_a_requirement_have_cures_too() -> None:
    aside = cured(photo(gaze="left", gaze_yaw_deg=-20.0))
    assert aside[0] == "ask for a look into the lens"
    assert "turn the camera" in cured(photo(), "loose keeper")


def test_closed_eyes_are_not_asked_to_look_into_the_lens() -> None:
    assert cured(photo(eyes_open=0.01, gaze="closed"))[0] == "take another frame: the lids were down"
    assert "ask for a look into the lens" not in cured(photo(eyes_open=0.01, gaze="closed"))


@pytest.mark.parametrize("changed", [{}, {"gaze": "unsure"}, {"eyes_open": None}])
def test_no_cure_for_what_was_well_or_is_not_known(changed: dict[str, object]) -> None:
    assert cured(photo(sitter(0.34, 0.44), **changed)) == []  # type: ignore[arg-type]


def test_no_more_cures_than_anybody_minds() -> None:
    spoilt = photo(
        sitter(0.20, 0.25, 0.1), head_pitch_deg=30.0, head_roll_deg=15.0, glasses_glare=0.4, gaze="left"
    )
    assert len(cured(spoilt)) == MOST


def test_a_genre_of_ones_own_has_cures_for_a_guests_measure() -> None:
    own = RuleFile(
        "own.toml",
        f'''name = "own"
inherits = "{GENRE}"
[criteria.extra]
measure = "focus_behind"
at_most = 0
worst = 1
weight = 5
says = "the background is sharper by {{value}}; {{ideal}} is wanted"
cure_above = "focus on the eye"
''',
    )
    found = read_rules([*shipped_files(), own], QUANTITIES.values(), vocabulary())
    assert found.mistakes == ()
    sentence = "the background is sharper by 0.9; at most 0 is wanted"
    guest = Reason("extra", "focus_behind", 0.9, "at most 0", 0.1, 5.0, 0.2, sentence)
    assert cures([guest], found.genre("own")) == [
        "focus on the eye: the background is sharper by 0.9; at most 0 is wanted"
    ]


def test_what_costs_most_in_a_shipped_genre_has_a_cure() -> None:
    """Every criterion of the shipped brief that a photographer can do something about."""
    for name in ("corporate headshot", "tight close crop", "loose keeper", "copy space left"):
        criteria = rules().genre(name).criteria
        assert [each.name for each in criteria if not (each.cure or each.cure_below or each.cure_above)] == []
