"""What a worker does with one photo: pixels become numbers, once."""

from __future__ import annotations

import os
import time
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from eyeline.errors import UnreadablePhoto
from eyeline.exiftool import ExifTool
from eyeline.intake.identity import image_digest
from eyeline.measuring.catalogue import BUILT_IN
from eyeline.measuring.points import sitter_points
from eyeline.measuring.take import take
from eyeline.reading.capture import read_capture
from eyeline.reading.look import look
from eyeline.reading.picture import read_picture, stored_size
from eyeline.run.guests import load_guests
from eyeline.terms.frame import Frame
from eyeline.terms.measurement import Measure, Measurement, Subject
from eyeline.terms.points import Points

SWAPS_SIDES = frozenset({5, 6, 7, 8})
"""EXIF orientations that exchange width and height (CIPA DC-008)."""


@dataclass(frozen=True, slots=True)
class Examined:
    """All that eyeline keeps of a photo: numbers, never pixels.

    `milliseconds`: by step (`read`, `decode`, `look`) and by measure.
    """

    frame: Frame
    measurements: Mapping[str, Measurement]
    points: Points | None
    why_sitter: str
    milliseconds: Mapping[str, float]


@cache
def all_measures() -> tuple[Measure, ...]:
    """Built-in measures, then guests, loaded once per process."""
    return (*BUILT_IN, *load_guests(BUILT_IN).measures)


@cache
def _exiftool() -> ExifTool:
    return ExifTool()


def warm_up() -> None:
    """Load what the first photo would otherwise wait for. Run once in each worker."""
    import cv2

    from eyeline.reading import models

    cv2.setNumThreads(1)
    models.face_detector()
    models.face_mesh()
    models.person_silhouette()
    all_measures()


def examine(path: Path) -> Examined:
    """Read one photo and take every measure of it.

    Raises
    ------
    UnreadablePhoto
        When the file is gone, unreadable, no JPEG, damaged or not complete.
    """
    clock = time.perf_counter
    started = clock()
    try:
        data = _read_only(path)
    except OSError as error:
        raise UnreadablePhoto(
            f"it cannot be read ({error.strerror or error})",
            path,
            "Check that it is still there and that you may read it",
        ) from error
    if not data:
        raise UnreadablePhoto("the file is empty", path, "Copy it from the card again")
    try:
        stored_width, stored_height = stored_size(data)
        orientation, capture = read_capture(_exiftool(), path)
        read = clock()
        picture = read_picture(data, orientation)
    except UnreadablePhoto as error:
        raise UnreadablePhoto(error.what, path, error.cure) from error
    decoded = clock()
    seen = look(picture)
    looked = clock()
    frame = Frame(
        path=path,
        digest=image_digest(data),
        width=stored_height if orientation in SWAPS_SIDES else stored_width,
        height=stored_width if orientation in SWAPS_SIDES else stored_height,
        stored_width=stored_width,
        stored_height=stored_height,
        orientation=orientation,
        capture=capture,
    )
    points = sitter_points(picture, seen)
    pointed = clock()
    known, milliseconds = take(Subject(frame, picture, seen, points), all_measures(), clock)
    steps = {
        "read": read - started,
        "decode": decoded - read,
        "look": looked - decoded,
        "points": pointed - looked,
    }
    return Examined(
        frame,
        known,
        points,
        seen.why_sitter,
        {name: 1000 * seconds for name, seconds in steps.items()} | milliseconds,
    )


def _read_only(path: Path) -> bytes:
    """The file's bytes; `O_NOATIME` is not asked for, `O_RDONLY` is: originals are never opened otherwise."""
    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_CLOEXEC", 0))
    with os.fdopen(descriptor, "rb") as file:
        return file.read()
