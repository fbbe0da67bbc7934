"""Jobs that are done a few at a time, with their results in order."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import pytest

from eyeline.deciding.in_order import AT_ONCE, Job, in_order
from tests.waiting import PATIENCE_SECONDS


def nobody(_: object) -> None:
    raise AssertionError("nothing was in hand")


def test_results_come_in_order_whatever_takes_longest() -> None:
    def after(seconds: float) -> Callable[[], float]:
        return lambda: time.sleep(seconds) or seconds

    pauses = [0.05, 0.0, 0.02, 0.0, 0.01]
    assert list(in_order((Job(after(each)) for each in pauses), nobody)) == pauses


def test_two_are_in_hand_at_a_time() -> None:
    both = threading.Barrier(AT_ONCE, timeout=PATIENCE_SECONDS)  # breaks unless the two are there at once
    assert len(list(in_order((Job(both.wait) for _ in range(2 * AT_ONCE)), nobody))) == 2 * AT_ONCE


def test_one_that_wants_to_be_alone_finds_all_before_it_done_and_none_after_it_begun() -> None:
    begun: list[int] = []
    done: list[int] = []

    def job(number: int) -> Callable[[], int]:
        def do() -> int:
            begun.append(number)
            if number == 3:
                assert done == [0, 1, 2]
                time.sleep(0.05)
                assert begun == [0, 1, 2, 3]
            else:
                time.sleep(0.01)
            return number

        return do

    done.extend(in_order((Job(job(number), alone=number == 3) for number in range(6)), nobody))
    assert done == [0, 1, 2, 3, 4, 5]


def test_what_is_in_hand_when_the_caller_stops_is_told_and_nothing_else_is_begun() -> None:
    begun: list[int] = []
    told: list[int] = []

    def job(number: int) -> Job[int]:
        return Job(lambda: begun.append(number) or number)

    results = in_order(map(job, range(100)), told.append)
    assert next(results) == 0
    results.close()
    assert [0, *told] == sorted(begun)
    assert len(begun) <= AT_ONCE + 1


def test_an_error_comes_in_its_turn_and_the_others_are_told() -> None:
    def fails() -> int:
        raise OSError("the disk is full")

    told: list[int] = []
    results = in_order([Job(lambda: 1), Job(fails), Job(lambda: 3)], told.append)
    assert next(results) == 1
    with pytest.raises(OSError, match="full"):
        next(results)
    assert told == [3]
