"""Conditions: measure, comparison, value; all, any, not; and what is missing decides nothing."""

import pytest

from eyeline.judging.columns import columns_of
from eyeline.judging.condition import in_words, truth
from eyeline.judging.condition_table import condition
from eyeline.terms.measurement import Measurement, Quantity, Value
from eyeline.toml_files.mistake import Problem

QUANTITIES = (
    Quantity("headroom", "fraction", ""),
    Quantity("crown_cut", "bool", ""),
    Quantity("head_yaw_deg", "degrees", ""),
    Quantity("gaze", "word", "", ("camera", "left", "right", "unsure")),
)


def holds(table: object, **values: Value) -> tuple[bool, bool]:
    """Whether the condition certainly holds, and certainly does not, for a photo with `values`."""
    problems: list[Problem] = []
    parsed = condition(table, (), problems)
    assert parsed is not None, problems
    photo = {
        name: Measurement(name, value, "none" if value is None else None) for name, value in values.items()
    }
    answer = truth(parsed, columns_of([photo], QUANTITIES))
    return bool(answer.yes[0]), bool(answer.no[0])


YES, NO, UNKNOWN = (True, False), (False, True), (False, False)


@pytest.mark.parametrize(
    ("table", "value", "expected"),
    [
        ({"below": 0.1}, 0.05, YES),
        ({"below": 0.1}, 0.1, NO),
        ({"above": 0.1}, 0.1, NO),
        ({"at_least": 0.1}, 0.1, YES),
        ({"at_most": 0.1}, 0.1, YES),
        ({"between": [0.1, 0.2]}, 0.2, YES),
        ({"between": [0.1, 0.2]}, 0.21, NO),
        ({"is": 0.5}, 0.5, YES),
        ({"is_not": 0.5}, 0.5, NO),
        ({"missing": True}, None, YES),
        ({"missing": True}, 0.3, NO),
        ({"missing": False}, 0.3, YES),
        ({"below": 0.1}, None, UNKNOWN),
    ],
)
def test_comparisons_of_numbers(table: dict[str, object], value: Value, expected: object) -> None:
    assert holds({"measure": "headroom", **table}, headroom=value) == expected


def test_truth_values_are_compared_as_such() -> None:
    assert holds({"measure": "crown_cut", "is": True}, crown_cut=True) == YES
    assert holds({"measure": "crown_cut", "is": False}, crown_cut=True) == NO


def test_the_size_of_a_signed_number() -> None:
    assert holds({"measure": "head_yaw_deg", "above": 20}, head_yaw_deg=-30.0) == NO
    assert holds({"measure": "head_yaw_deg", "above": 20, "ignore_sign": True}, head_yaw_deg=-30.0) == YES


def test_words_one_or_several() -> None:
    assert holds({"measure": "gaze", "is": "left"}, gaze="left") == YES
    assert holds({"measure": "gaze", "is": ["left", "right"]}, gaze="right") == YES
    assert holds({"measure": "gaze", "is_not": "left"}, gaze="camera") == YES


def test_unsure_makes_nothing_hold_nor_its_opposite() -> None:
    for table in ({"measure": "gaze", "is": "left"}, {"measure": "gaze", "is_not": "camera"}):
        assert holds(table, gaze="unsure") == UNKNOWN
        assert holds({"not": table}, gaze="unsure") == UNKNOWN
    assert holds({"measure": "gaze", "is": "unsure"}, gaze="unsure") == YES


def test_all_any_not_with_what_is_unknown() -> None:
    low, left = {"measure": "headroom", "below": 0.1}, {"measure": "gaze", "is": "left"}
    assert holds({"all": [low, left]}, headroom=0.05, gaze="left") == YES
    assert holds({"all": [low, left]}, headroom=0.2, gaze=None) == NO
    assert holds({"all": [low, left]}, headroom=0.05, gaze=None) == UNKNOWN
    assert holds({"any": [low, left]}, headroom=0.05, gaze=None) == YES
    assert holds({"any": [low, left]}, headroom=0.2, gaze=None) == UNKNOWN
    assert holds({"not": low}, headroom=0.2) == YES
    assert holds({"not": low}, headroom=None) == UNKNOWN


def test_a_measure_that_nobody_took_is_missing() -> None:
    assert holds({"measure": "headroom", "below": 0.1}) == UNKNOWN
    assert holds({"measure": "gaze", "missing": True}) == YES


def test_conditions_read_like_sentences() -> None:
    problems: list[Problem] = []
    table = {
        "any": [
            {"measure": "gaze", "is": ["left", "right"]},
            {"not": {"measure": "headroom", "at_least": 0.1}},
        ]
    }
    parsed = condition(table, (), problems)
    assert parsed is not None
    assert in_words(parsed) == "gaze is left or right or not (headroom is at least 0.1)"
