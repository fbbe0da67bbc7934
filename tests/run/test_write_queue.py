"""When the daemon writes: once, when the sitting is quiet, and at the latest after a set time."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.run.write_queue import WriteQueue

CARD, OTHER = Path("card"), Path("other")
QUIET_S, LONGEST_S = 20.0, 300.0
NOW_S = 10_000.0


def queue(quiet_s: float = QUIET_S, longest_s: float = LONGEST_S) -> WriteQueue:
    return WriteQueue(quiet_s, longest_s)


@pytest.mark.parametrize(
    ("first_ago_s", "last_ago_s", "settings", "is_due"),
    [
        (25, 19, {}, False),
        (25, 20, {}, True),
        (299, 1, {}, False),
        (300, 1, {}, True),
        (25, 6, {"quiet_s": 5.0}, True),
        (60, 1, {"longest_s": 60.0}, True),
    ],
)
def test_a_sitting_is_written_after_twenty_quiet_seconds_or_five_minutes(
    first_ago_s: float, last_ago_s: float, settings: dict[str, float], is_due: bool
) -> None:
    waiting = queue(**settings)
    waiting.noticed(CARD, NOW_S - first_ago_s)
    waiting.noticed(CARD, NOW_S - last_ago_s)
    assert waiting.due(NOW_S) == ([CARD] if is_due else [])


@given(gaps_s=st.lists(st.floats(0, 2 * QUIET_S), min_size=1))
def test_photos_that_keep_coming_are_written_by_the_longest_wait(gaps_s: list[float]) -> None:
    waiting, now_s = queue(), 0.0
    waiting.noticed(CARD, now_s)
    for gap_s in gaps_s:
        now_s += gap_s
        assert (waiting.due(now_s) == [CARD]) == (gap_s >= QUIET_S or now_s >= LONGEST_S)
        waiting.noticed(CARD, now_s)
    assert waiting.due(LONGEST_S + QUIET_S) == [CARD]


def test_folders_wait_each_for_themselves_and_come_in_their_order() -> None:
    waiting = queue()
    waiting.noticed(CARD, 0)
    waiting.noticed(OTHER, 15)
    assert waiting.due(20) == [CARD]
    assert waiting.due(35) == [CARD, OTHER]
    waiting.take(CARD)
    assert waiting.due(35) == [OTHER] == waiting.all()


def test_what_is_expected_does_not_prolong_a_wait() -> None:
    waiting = queue()
    waiting.noticed(CARD, 0)
    waiting.expect(CARD, 19)
    waiting.expect(OTHER, 19)
    assert waiting.due(20) == [CARD]


def test_what_could_not_be_written_waits_on_as_before() -> None:
    waiting = queue()
    waiting.noticed(CARD, 0)
    taken = waiting.take(CARD)
    assert len(waiting) == 0
    waiting.put_back(CARD, taken)
    assert waiting.due(20) == [CARD]


def test_a_photo_that_comes_while_the_folder_is_written_is_not_lost() -> None:
    waiting = queue()
    waiting.noticed(CARD, 0)
    taken = waiting.take(CARD)
    waiting.noticed(CARD, 30)
    waiting.put_back(CARD, taken)
    assert waiting.due(40) == []
    assert waiting.due(50) == [CARD]
