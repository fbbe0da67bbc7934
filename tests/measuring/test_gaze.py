from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeline.measuring.gaze import WORDS, gaze_at, word_of, word_probabilities

angle = st.floats(-40, 40)


@pytest.mark.parametrize(
    ("yaw", "pitch", "word"),
    [
        (0, 0, "camera"),
        (7.9, 11.9, "camera"),
        (8.1, 0, "right"),
        (-8.1, 0, "left"),
        (0, 12.1, "up"),
        (0, -12.1, "down"),
        (10, 13, "right"),  # 1.25 of the border to the side, 1.08 of that upward
        (9, 18, "up"),
    ],
)
def test_the_words_have_the_borders_of_the_contract(yaw: float, pitch: float, word: str) -> None:
    assert word_of(yaw, pitch) == word


@settings(deadline=None)
@given(angle, angle)
def test_probabilities_sum_to_one_and_mirror(yaw: float, pitch: float) -> None:
    here = word_probabilities(yaw, pitch, 4, 5)
    there = word_probabilities(-yaw, pitch, 4, 5)
    assert set(here) == set(WORDS)
    assert sum(here.values()) == pytest.approx(1, abs=1e-9)
    if yaw != 0:
        assert here["left"] == pytest.approx(there["right"], abs=1e-9)
    assert here["up"] == pytest.approx(there["up"], abs=1e-9)


@settings(deadline=None)
@given(angle, angle)
def test_without_error_the_probable_word_is_the_word(yaw: float, pitch: float) -> None:
    if min(abs(abs(yaw) - 8), abs(abs(pitch) - 12), abs(abs(yaw) / 8 - abs(pitch) / 12)) < 0.1:
        return
    here = word_probabilities(yaw, pitch, 0.01, 0.01)
    assert here[word_of(yaw, pitch)] == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize(
    ("yaw", "word"), [(0, "camera"), (2, "camera"), (4, "camera"), (20, "right"), (-20, "left")]
)
def test_a_plain_gaze_is_told_with_confidence(yaw: float, word: str) -> None:
    told = gaze_at(yaw, 0, 2, 3)
    assert told.word == word
    assert told.confidence > 0.8


def test_a_gaze_at_the_border_is_a_toss_up() -> None:
    assert gaze_at(8, 0, 2, 3).confidence < 0.6
    assert gaze_at(0, 12, 2, 3).confidence < 0.6


@pytest.mark.parametrize("border", [1.5, 2.0, 2.5])
def test_a_look_up_is_less_sure_than_one_aside_as_far_beyond_its_border(border: float) -> None:
    """Nobody knows the level of a head from one picture; its middle shows in both cheeks."""
    up, aside = gaze_at(0, 12 * border, 2, 3), gaze_at(8 * border, 0, 2, 3)
    assert (up.word, aside.word) == ("up", "right")
    assert 0.5 < up.confidence < aside.confidence


@settings(deadline=None)
@given(angle, angle, st.floats(0.5, 5))
def test_a_larger_error_never_makes_a_word_surer(yaw: float, pitch: float, error: float) -> None:
    sharp, vague = gaze_at(yaw, pitch, error, error), gaze_at(yaw, pitch, 3 * error, 3 * error)
    if sharp.word == vague.word and sharp.word != "camera" and sharp.confidence > 0.6:
        assert vague.confidence <= sharp.confidence + 0.05
