from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from eyeline.measuring.gaze import (
    ANYWHERE_DEVIATION_DEG,
    CAMERA_PITCH_DEG,
    CAMERA_YAW_DEG,
    INTO_LENS_DEVIATION_DEG,
    LEAST_CONFIDENCE,
    MEANT_FOR_LENS,
    WORDS,
    gaze_at,
    into_lens_probability,
    word_of,
    word_probabilities,
)

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


def test_a_gaze_at_the_border_has_no_word() -> None:
    assert gaze_at(8, 0, 2, 3).confidence < LEAST_CONFIDENCE
    assert gaze_at(0, 12, 2, 3).confidence < LEAST_CONFIDENCE


def test_the_toss_up_lies_a_little_beyond_the_border_since_most_look_into_the_lens() -> None:
    across = {yaw: gaze_at(yaw, 0, 2, 3) for yaw in (7.5, 8.0, 8.5, 9.0)}
    up = {pitch: gaze_at(0, pitch, 2, 3) for pitch in (11.5, 12.0, 12.5, 13.0)}
    assert min(across, key=lambda yaw: across[yaw].confidence) == 8.0 and across[8.0].confidence < 0.6
    assert min(up, key=lambda pitch: up[pitch].confidence) == 12.5 and up[12.5].confidence < 0.6


@settings(deadline=None)
@given(st.floats(-25, 25), st.floats(-25, 25), st.floats(1, 8), st.floats(1, 8))
def test_a_look_into_the_lens_is_as_probable_as_bayes_has_it(
    yaw: float, pitch: float, yaw_error: float, pitch_error: float
) -> None:
    """Beside sums of scipy's normal densities over all looks, which fall into those across and those up; the
    answer itself is a sum over 81 by 81 looks, one of which holds at most 4 % of either."""
    looks = np.linspace(-90, 90, 18001)
    whole = inside = 0.0
    for share, deviations in (
        (MEANT_FOR_LENS, INTO_LENS_DEVIATION_DEG),
        (1 - MEANT_FOR_LENS, ANYWHERE_DEVIATION_DEG),
    ):
        of_all = of_camera = share
        for angle, error, deviation, border in zip(
            (yaw, pitch),
            (yaw_error, pitch_error),
            deviations,
            (CAMERA_YAW_DEG, CAMERA_PITCH_DEG),
            strict=True,
        ):
            likely = norm.pdf(looks, 0, deviation) * norm.pdf(angle, looks, error)
            of_all *= likely.sum()
            of_camera *= likely[abs(looks) < border].sum()
        whole, inside = whole + of_all, inside + of_camera
    assert into_lens_probability(yaw, pitch, yaw_error, pitch_error) == pytest.approx(
        inside / whole, abs=0.04
    )


def test_the_vaguer_the_estimate_the_more_it_speaks_for_the_lens() -> None:
    told = [into_lens_probability(10, 0, error, 3) for error in (1, 2, 4, 6)]
    assert told == sorted(told) and told[0] < 0.1


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
