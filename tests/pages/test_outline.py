"""The drawing of an empty place: where the genre's own numbers want the head."""

from __future__ import annotations

import pytest

from eyeline.pages.outline import Outline, outline
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import RulesInForce, rules_in_force


@pytest.fixture(scope="module")
def rules() -> RulesInForce:
    return rules_in_force(Configuration())[0]


@pytest.fixture
def drawn(rules: RulesInForce, request: pytest.FixtureRequest) -> Outline:
    return outline(rules.rules.genre(request.param))


EVERY = ["corporate headshot", "tight close crop", "loose keeper", "copy space left", "copy space right"]


def test_every_genre_has_a_drawing(rules: RulesInForce) -> None:
    for name in rules.rules.genres:
        found = outline(rules.rules.genre(name))
        assert 0 < found.eye_y < 1
        assert 0 < found.eyes[0] < found.ratio


@pytest.mark.parametrize("drawn", ["corporate headshot"], indirect=True)
def test_a_headshot_stands_in_the_middle_with_the_eyes_in_the_ideal_band(drawn: Outline) -> None:
    assert drawn.ratio < 1
    assert drawn.eyes[0] == pytest.approx(drawn.ratio / 2)
    assert drawn.band == (0.30, 0.38)
    assert drawn.band[0] <= drawn.eye_y <= drawn.band[1]
    assert 2 * drawn.head[3] == pytest.approx(0.44)  # the middle of 38 to 50 %
    assert drawn.arrow is None


@pytest.mark.parametrize("drawn", ["copy space right"], indirect=True)
def test_copy_space_right_has_its_text_and_its_look_on_the_right(drawn: Outline) -> None:
    assert drawn.ratio > 1
    assert drawn.eyes[0] == pytest.approx(drawn.ratio / 3)
    assert drawn.text is not None
    assert drawn.text[0] > drawn.eyes[0]
    assert drawn.arrow is not None
    assert drawn.arrow[1] > drawn.arrow[0] > drawn.eyes[0]


@pytest.mark.parametrize("drawn", ["copy space left"], indirect=True)
def test_copy_space_left_is_its_mirror(drawn: Outline, rules: RulesInForce) -> None:
    other = outline(rules.rules.genre("copy space right"))
    assert drawn.eyes[0] == pytest.approx(other.ratio - other.eyes[0])
    assert drawn.look == -other.look


@pytest.mark.parametrize("drawn", ["tight close crop"], indirect=True)
def test_a_tight_crop_cuts_the_crown_and_never_the_chin(drawn: Outline) -> None:
    assert drawn.head[1] - drawn.head[3] < 0
    assert drawn.head[1] + drawn.head[3] < 1
