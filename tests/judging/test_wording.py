"""Values beside ideals: no sentence tells a miss as if it were none."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.judging.wording import ideal_in_words, value_beside, value_in_words
from tests.judging.photos import judged, photo
from tests.judging.shipped import QUANTITIES, rules

GENRES = rules().genres
IDEALS = [
    (criterion.name, ideal)
    for criterion in GENRES["corporate headshot"].criteria
    for ideal in criterion.ideals
    if not ideal.words
]


def test_a_miss_by_less_than_is_told_says_so() -> None:
    ideal = next(ideal for name, ideal in IDEALS if name == "headroom")
    headroom = QUANTITIES["headroom"]
    assert ideal_in_words(ideal, headroom) == "6 to 12 %"
    assert value_beside(0.1204, ideal, headroom) == "just over 12 %"
    assert value_beside(0.0597, ideal, headroom) == "just under 6 %"
    assert value_beside(0.126, ideal, headroom) == "13 %"
    assert value_beside(0.1, ideal, headroom) == "10 %"


@pytest.mark.parametrize(("name", "ideal"), IDEALS, ids=[name for name, _ in IDEALS])
@given(off=st.floats(1e-6, 0.2))
def test_what_is_told_lies_where_the_value_lies(name: str, ideal: object, off: float) -> None:
    ideal = next(each for criterion, each in IDEALS if criterion == name)
    quantity = QUANTITIES[ideal.measure]
    for bound, value, word in (
        (ideal.ideal_low, ideal.ideal_low - off, "just under"),
        (ideal.ideal_high, ideal.ideal_high + off, "just over"),
    ):
        if abs(bound) == float("inf") or value < 0 <= bound:
            continue
        told = value_beside(value, ideal, quantity)
        (edge,) = re.findall(
            r"-?[\d.]+", ideal_in_words(replace(ideal, ideal_low=bound, ideal_high=bound), quantity)
        )
        (number,) = re.findall(r"-?[\d.]+", told)
        assert told.startswith((word, "under")) or (float(number) - float(edge)) * (value - bound) > 0, told


def test_a_share_that_is_not_nothing_is_not_told_as_nothing() -> None:
    share = QUANTITIES["face_clipped"]
    assert value_in_words(0.0, share) == "0 %"
    assert value_in_words(0.0003, share) == "under 0.1 %"


def test_what_is_told_without_its_sign_misses_by_less_than_is_told_too() -> None:
    low = next(ideal.ideal_low for name, ideal in IDEALS if name == "pitch")
    said = {
        each.name: each.sentence
        for each in judged([photo(head_pitch_deg=low - 0.3)], ("corporate headshot",)).verdict(0).reasons
    }
    assert said["pitch"] == f"the chin is down by just over {-low:g}°; this genre wants {low:g} to {-low:g}°"


def test_no_room_is_never_said_to_be_wanted() -> None:
    """0 % more is not a wish: a look toward the nearer side says what there is and no number beside it."""
    looks_out = photo(gaze="left", gaze_yaw_deg=-25.0, lead_room=-0.2)
    for name in GENRES:
        for reason in judged([looks_out], (name,)).verdict(0).reasons:
            assert not re.search(r"(?<![\d.])0 (%|°|stops) (more|less)", reason.sentence), reason.sentence
            assert "at least 0 % more" not in reason.sentence


def test_one_stop_is_no_stops() -> None:
    stops = QUANTITIES["exposure_off_stops"]
    assert value_in_words(1.04, stops) == "1 stop"
    assert value_in_words(1.06, stops) == "1.1 stops"


def test_an_ideal_is_told_as_it_is_set() -> None:
    """2.5° would be told as "at most 2°" by rounding half to even (IEEE 754), beside 2.5 where it is set."""
    roll = next(ideal for name, ideal in IDEALS if name == "tilt")
    said = ideal_in_words(roll, QUANTITIES[roll.measure])
    assert said == f"at most {roll.ideal_high:g}°"
    assert value_in_words(12.6, QUANTITIES[roll.measure]) == "13°"
