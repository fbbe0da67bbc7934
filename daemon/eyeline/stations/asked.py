"""What travels between daemon and stations: a photo and what is wanted of it, and the answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from eyeline.errors import EyelineError
from eyeline.previews.drawing import Kind
from eyeline.terms.frame import Frame
from eyeline.terms.points import Points

MOST_MTIMES_APART_NS = 2_000_000_000
"""Between two views of one file: file systems and network protocols keep times as coarsely as 2 s (FAT)."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A photo as the daemon sees it: its path there, `size_bytes` and `mtime_ns`.

    `frame`: what it was identified as. `alone`: no other is in hand, so it may take more memory. `plug_ins`:
    measure by theirs too. `pictures`: send small versions along.
    """

    path: Path
    size_bytes: int
    mtime_ns: int
    alone: bool = False
    frame: Frame | None = None
    plug_ins: bool = True
    points: Points | None = None
    pictures: bool = False


@dataclass(frozen=True, slots=True)
class Answered:
    """The answer of the station at `address`: what it found, or what this photo came to."""

    address: str
    found: Any
    pictures: Mapping[Kind, bytes]


class NotAsSeen(EyelineError):
    """A station's file is gone, or of another size or time than the daemon's."""
