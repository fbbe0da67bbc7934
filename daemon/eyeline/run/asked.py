"""What other threads ask the daemon's to do."""

from __future__ import annotations

import queue
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, TypeVar

T = TypeVar("T")


class Asked:
    """Wishes in their order, each with the Future that will hold what came of it. Any thread may put one."""

    def __init__(self) -> None:
        self._wishes: queue.SimpleQueue[tuple[Callable[[], Any], Future[Any]]] = queue.SimpleQueue()

    def put(self, do: Callable[[], T]) -> Future[T]:
        """Have `do` done at the next `do_all`. What it raises, the Future holds."""
        answer: Future[T] = Future()
        self._wishes.put((do, answer))
        return answer

    def do_all(self) -> None:
        """Do what was asked for and not given up since, in the thread that calls."""
        while not self._wishes.empty():
            do, answer = self._wishes.get()
            if answer.set_running_or_notify_cancel():
                try:
                    answer.set_result(do())
                except Exception as error:
                    answer.set_exception(error)
