"""Where daemon and stations meet, and what the daemon brings there."""

from __future__ import annotations

from collections.abc import Callable
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


@dataclass(frozen=True, slots=True)
class Task:
    """What is wanted of a photo in `root`: a function of `station`, by its `name`."""

    name: str
    do: Callable[[Asked], Answered]
    root: Path
    asked: Asked
