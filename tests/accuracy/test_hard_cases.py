"""The short form of the hard cases: one frame of each sitter with something in the way.

`python -m tests.accuracy --hard` (with --full, more of them) is the long form, and shows what goes wrong.
"""

from __future__ import annotations

import pytest

from tests.accuracy.figures import hard
from tests.accuracy.figures.covers import NAMES
from tests.accuracy.hard_cases import made_cases
from tests.accuracy.pipeline import Pair, pairs_of
from tests.accuracy.portraits import shoot

pytestmark = pytest.mark.slow

Cases = dict[str, list[Pair]]


@pytest.fixture(scope="module")
def cases(tmp_path_factory: pytest.TempPathFactory) -> Cases:
    made = made_cases(shoot(), tmp_path_factory.mktemp("hard"), frames_a_sitter=1)
    pairs = iter(pairs_of([portrait for portraits in made.values() for portrait in portraits]))
    return {name: [next(pairs) for _ in portraits] for name, portraits in made.items()}


def outcomes(pairs: list[Pair]) -> list[tuple[str | None, str, str | None]]:
    return [(hard.eyes(pair), hard.framing(pair), hard.gaze(pair)) for pair in pairs]


@pytest.mark.parametrize(
    "name", ["hat, drawn", "headscarf, drawn", "heavy shadow", "black and white", "coloured light"]
)
def test_nothing_is_wrong_and_most_is_measured(name: str, cases: Cases) -> None:
    """Goal for headwear: at least 70 % measured. One frame a sitter of the shoot, and the astronaut."""
    found = outcomes(cases[name])
    assert len(found) == 6
    assert not [each for each in found if hard.WRONG in each]
    assert sum(hard.NOTHING not in each for each in found) >= hard.LEAST_MEASURED * len(found)
    assert not [pair for pair in cases[name] if any(pair.value(part) is True for part in NAMES)]


def test_a_portrait_on_a_poster_is_not_the_sitter(cases: Cases) -> None:
    for pair in cases["poster beside the sitter"]:
        assert hard.framing(pair) == hard.RIGHT, pair.portrait.path.name
        assert hard.gaze(pair) != hard.WRONG, pair.portrait.path.name


def test_glare_that_hides_the_eyes_is_told_and_no_look_is_guessed(cases: Cases) -> None:
    """The reflection is drawn over each whole iris and more: most of the visible eye."""
    for pair in cases["glare on both lenses"]:
        share = pair.number("glasses_glare")
        assert share is not None and share > 0.5, pair.portrait.path.name
        assert pair.value("gaze") == "unsure", pair.portrait.path.name


@pytest.mark.parametrize("name", ["hand over mouth and chin", "cup before mouth and chin"])
def test_a_covered_chin_is_told_more_often_than_guessed(name: str, cases: Cases) -> None:
    found = [pair for pair in cases[name] if pair.person is not None]
    assert len(found) >= 5
    told = [pair for pair in found if pair.value("chin_covered") is True]
    assert len(told) > len(found) / 2
    assert all(pair.value("chin_room") is None and pair.value("head_height") is None for pair in told)


def test_a_hand_over_an_eye_is_told_or_the_face_is_not_found(cases: Cases) -> None:
    """At most one of six is taken for an eye that is seen."""
    taken_for_seen = [pair for pair in cases["hand over an eye"] if hard.eyes(pair) == hard.WRONG]
    assert len(taken_for_seen) <= 1


def test_a_larger_face_on_a_poster_is_not_the_sitter(cases: Cases) -> None:
    for pair in cases["poster, its face larger than the sitter's"]:
        assert pair.person is not None, pair.portrait.path.name
