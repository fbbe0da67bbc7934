"""A deadline for one call after another."""

from __future__ import annotations

import threading

from eyeline.exiftool.deadline import Watch
from tests.waiting import PATIENCE_SECONDS


def test_what_takes_too_long_is_told_of_also_after_calls_that_had_more_time() -> None:
    late = threading.Event()
    watch = Watch(late.set)
    with watch.within(3600):
        pass
    assert not late.is_set()
    with watch.within(0.01):
        assert late.wait(PATIENCE_SECONDS)
    late.clear()
    with watch.within(0.01):
        assert late.wait(PATIENCE_SECONDS), "again, by the same thread"
    watch.close()


def test_its_thread_ends_with_it() -> None:
    before = set(threading.enumerate())
    watch = Watch(lambda: None)
    with watch.within(3600):
        (thread,) = set(threading.enumerate()) - before
    watch.close()
    thread.join(PATIENCE_SECONDS)
    assert not thread.is_alive()
