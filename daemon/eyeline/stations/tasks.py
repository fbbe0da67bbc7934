"""What a process of a station does with one photo; the paths are this machine's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from eyeline.errors import EyelineError
from eyeline.previews.drawing import Kind
from eyeline.previews.store import Previews
from eyeline.reading import models
from eyeline.stations.asked import MOST_MTIMES_APART_NS, Asked, NotAsSeen
from eyeline.terms.frame import Frame
from eyeline.workers.draw import ToDraw, sketch
from eyeline.workers.examine import (
    examine,
    examine_built_in,
    exiftool_version,
    identify,
    measure,
)

ANY_SIZE = 10**12
"""No bound: small versions leave the station with the answer."""


@dataclass(frozen=True, slots=True)
class Here:
    """A photo that is asked for, and its `path` on this machine."""

    asked: Asked
    path: Path


@dataclass(frozen=True, slots=True)
class Done:
    """What a process found in a photo, and its small versions where they were asked for."""

    found: Any
    pictures: Mapping[Kind, bytes] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _InHand(Previews):
    """Small versions that lie in no folder: they go along with the answer."""

    pictures: dict[Kind, bytes] = field(default_factory=dict)

    def keep(self, digest: str, orientation: int, pictures: Mapping[Kind, bytes]) -> int:
        self.pictures.update(pictures)
        return 0


def identify_here(photo: Here) -> Done:
    """Tell which frame it is. Raises UnreadablePhoto, NotAsSeen."""
    _see(photo)
    return Done(identify(photo.path))


def examine_here(photo: Here) -> Done:
    """Measure it, if its image data has the digest that is expected. Raises UnreadablePhoto, NotAsSeen."""
    _see(photo)
    take = examine if photo.asked.plug_ins else examine_built_in
    drawn = _to_draw(photo)
    return Done(take(_frame(photo), previews=drawn, digest_again=True), drawn.pictures)


def measure_here(photo: Here) -> Done:
    """Tell which frame it is and measure it. Raises UnreadablePhoto, NotAsSeen."""
    _see(photo)
    drawn = _to_draw(photo)
    return Done(measure(photo.path, previews=drawn, plug_ins=photo.asked.plug_ins), drawn.pictures)


def draw_here(photo: Here) -> Done:
    """Draw its small versions. Raises UnreadablePhoto, NotAsSeen."""
    _see(photo)
    return Done(None, sketch(ToDraw(_frame(photo), photo.asked.points)))


def unfit_here(_: None) -> str:
    """What this machine lacks to measure, with what to do; "" where nothing."""
    try:
        models.load_all()
    except Exception as error:  # of whatever library: it is told
        return f"its face models do not load ({error}). Run there: sh service/bootstrap stations"
    try:
        exiftool_version()
    except EyelineError as error:
        return f"{error.what}. {error.cure}"
    return ""


def _see(photo: Here) -> None:
    try:
        status = photo.path.stat()
    except OSError as error:
        raise NotAsSeen(error.strerror or str(error), photo.path) from error
    if (
        status.st_size != photo.asked.size_bytes
        or abs(status.st_mtime_ns - photo.asked.mtime_ns) > MOST_MTIMES_APART_NS
    ):
        raise NotAsSeen("another size or time", photo.path)


def _to_draw(photo: Here) -> _InHand:
    return _InHand(Path(), ANY_SIZE if photo.asked.pictures else 0)


def _frame(photo: Here) -> Frame:
    assert photo.asked.frame is not None
    return replace(photo.asked.frame, path=photo.path)
