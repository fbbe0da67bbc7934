"""A few jobs in hand at a time, their results in order."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from typing import Generic, TypeVar

Result = TypeVar("Result")

AT_ONCE = 2
"""Threads that work. What waits is one for ExifTool's answer or the disk, so that one more uses the time; a
third would only wait for the other two."""


@dataclass(frozen=True, slots=True)
class Job(Generic[Result]):
    """Something to `do`; `alone` where it must find all before it finished, and all after it wait."""

    do: Callable[[], Result]
    alone: bool = False


def in_order(jobs: Iterable[Job[Result]], left: Callable[[Result], None]) -> Generator[Result, None, None]:
    """Do `jobs` in threads and yield what each returned, in their order.

    `jobs` is asked for the next one in the caller's thread, while earlier ones are in hand. What a job raises
    is raised here in its turn. A caller that stops early waits for what is in hand, and `left` is called
    with each result of it.
    """
    in_hand: deque[Future[Result]] = deque()
    with ThreadPoolExecutor(AT_ONCE, "in_order") as threads:
        try:
            for job in jobs:
                while in_hand and (job.alone or len(in_hand) > AT_ONCE):
                    yield in_hand.popleft().result()
                in_hand.append(threads.submit(job.do))
                if job.alone:
                    yield in_hand.popleft().result()
            while in_hand:
                yield in_hand.popleft().result()
        finally:
            for future in in_hand:
                with suppress(Exception):  # the caller has the exception that ended it all
                    left(future.result())
