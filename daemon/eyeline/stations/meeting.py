"""Where daemon and stations meet, and what the daemon brings there."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from eyeline.stations.asked import Answered, Asked


@dataclass(frozen=True, slots=True)
class Meeting:
    """The scheduler's `address`, Dask's `security`, and whether what was started for it `is_alive`."""

    address: str
    security: Any
    is_alive: Callable[[], bool] = lambda: True


Do = Callable[[Asked], Coroutine[Any, Any, Answered]]
"""What a station does with a photo that is asked for: a function of the module `station`."""


@dataclass(frozen=True, slots=True)
class Task:
    """What is wanted of a photo in `root`: a function of `station`, by its `name`."""

    name: str
    do: Do
    root: Path
    asked: Asked
