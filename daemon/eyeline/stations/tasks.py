"""What a process of a station does with one photo; the paths are this machine's."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from eyeline.errors import EyelineError
from eyeline.previews.store import Previews
from eyeline.reading import models
from eyeline.stations.asked import MOST_MTIMES_APART_NS, Asked, NotAsSeen
from eyeline.terms.frame import Frame
from eyeline.workers.draw import ToDraw, draw
from eyeline.workers.examine import (
    Examined,
    examine,
    examine_built_in,
    exiftool_version,
    identify,
    measure,
)


@dataclass(frozen=True, slots=True)
class Here:
    """A photo that is asked for, its `path` on this machine, and where to draw its small versions."""

    asked: Asked
    path: Path
    previews: Previews | None


def identify_here(photo: Here) -> Frame:
    """Tell which frame it is. Raises UnreadablePhoto, NotAsSeen."""
    _see(photo)
    return identify(photo.path)


def examine_here(photo: Here) -> Examined:
    """Measure it, if its image data has the digest that is expected. Raises UnreadablePhoto, NotAsSeen."""
    _see(photo)
    take = examine if photo.asked.plug_ins else examine_built_in
    return take(_frame(photo), previews=photo.previews, digest_again=True)


def measure_here(photo: Here) -> Examined:
    """Tell which frame it is and measure it. Raises UnreadablePhoto, NotAsSeen."""
    _see(photo)
    return measure(photo.path, previews=photo.previews, plug_ins=photo.asked.plug_ins)


def draw_here(photo: Here) -> EyelineError | None:
    """Draw its small versions. Raises UnreadablePhoto, NotAsSeen."""
    _see(photo)
    assert photo.previews is not None
    return draw(ToDraw(_frame(photo), photo.asked.points), photo.previews)


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


def _frame(photo: Here) -> Frame:
    assert photo.asked.frame is not None
    return replace(photo.asked.frame, path=photo.path)
