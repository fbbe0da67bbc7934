"""What a worker does with one photo: pixels become numbers, once."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from threading import Thread

import cv2

from eyeline.errors import EyelineError, UnreadablePhoto
from eyeline.exiftool import ExifTool
from eyeline.intake.identity import image_digest
from eyeline.intake.names import PHOTO_KINDS
from eyeline.measuring.catalogue import BUILT_IN, quantities
from eyeline.measuring.eye_network import sitters_eyes
from eyeline.measuring.points import sitter_points
from eyeline.measuring.take import take
from eyeline.previews.store import Previews
from eyeline.reading import models
from eyeline.reading.capture import read_capture
from eyeline.reading.look import look
from eyeline.reading.open_photo import open_photo
from eyeline.reading.picture import picture_of
from eyeline.reading.stream import Stream
from eyeline.settings.guests import load_guests
from eyeline.terms.frame import Frame, Picture
from eyeline.terms.measurement import FrameSubject, Measure, Measurement
from eyeline.terms.points import Points
from eyeline.terms.sitter import sitter_of
from eyeline.workers.keep_previews import kept_previews

SWAPS_SIDES = frozenset({5, 6, 7, 8})
"""EXIF orientations that exchange width and height (CIPA DC-008)."""


CHANGED_CURE = "It will be read again"


@dataclass(frozen=True, slots=True)
class Examined:
    """What came of measuring a photo: numbers, and how keeping its small versions went.

    `milliseconds`: of processor time, by step (`read`, `decode`, `look`, `eyes`, `points`, `previews`) and by
    measure. `preview_bytes`: how much was kept; `preview_problem`: why it could not be.
    """

    frame: Frame
    measurements: Mapping[str, Measurement]
    points: Points | None
    why_sitter: str
    milliseconds: Mapping[str, float]
    preview_bytes: int = 0
    preview_problem: EyelineError | None = None


@cache
def all_measures() -> tuple[Measure, ...]:
    """Built-in measures, then guests, loaded once per process."""
    return (*BUILT_IN, *load_guests(BUILT_IN).measures)


@cache
def _exiftool() -> ExifTool:
    return ExifTool()


def exiftool_version() -> str:
    """The version of the ExifTool of this worker. Raises ExifToolFailed."""
    return _exiftool().version


def warm_up() -> None:
    """Begin to load what the first photo needs: ExifTool to be identified, the models to be measured.

    Run once in each worker. Returns at once; whoever needs what is being loaded waits for it.
    """
    cv2.setNumThreads(1)
    exiftool = _exiftool()
    Thread(target=lambda: _try(lambda: exiftool.version), name="start ExifTool", daemon=True).start()
    _loading()


@cache
def _loading() -> Thread:
    """The thread that loads the models, started at the first call."""
    thread = Thread(target=lambda: _try(_load), name="load models", daemon=True)
    thread.start()
    return thread


def _load() -> None:
    models.load_all()
    all_measures()


def _try(begin: Callable[[], object]) -> None:
    """Run `begin` ahead of its first use; what fails here fails there again, before somebody who hears it."""
    with suppress(Exception):
        begin()


def identify(path: Path) -> Frame:
    """Tell which frame the file at `path` is: its image data's digest, its size, what the camera noted.

    Raises
    ------
    UnreadablePhoto
        When the file is gone, unreadable, empty, no photo, or its picture is too small or too large.
    """
    return _identified(path, read_only(path))


def _identified(path: Path, data: bytes) -> Frame:
    try:
        try:
            orientation, capture = read_capture(_exiftool(), path)
        except UnreadablePhoto:
            _stream(data, path, 1)  # what is wrong with a picture its decoder says more plainly
            raise
        if capture.rating_inside is not None and _rating_is_ours(data):
            capture = replace(capture, rating_inside=None)
        stream = _stream(data, path, orientation)
    except EyelineError as error:
        raise UnreadablePhoto(error.what, path, error.cure) from error
    size = stream.width, stream.height
    width, height = _turned(size, stream.orientation)
    stored_width, stored_height = _turned((width, height), stream.stored_orientation)
    return Frame(
        path=path,
        digest=image_digest(data),
        width=width,
        height=height,
        stored_width=stored_width,
        stored_height=stored_height,
        orientation=stream.stored_orientation,
        capture=capture,
    )


LEFT_OUT = "left out, since workers died or hung while they took the measures of plug-ins"
"""The reason for every measure of a plug-in where only the built-in ones are taken."""


def examine_built_in(frame: Frame, previews: Previews | None = None, digest_again: bool = False) -> Examined:
    """Measure a frame by the built-in measures; those of plug-ins are missing. Otherwise as `examine`."""
    return _without_guests(examine(frame, BUILT_IN, previews, digest_again))


def examine(
    frame: Frame,
    measures: Sequence[Measure] | None = None,
    previews: Previews | None = None,
    digest_again: bool = False,
) -> Examined:
    """Decode a frame once and take every measure of it, or `measures`; keep small versions in `previews`.

    `digest_again`: hold the image data against the frame's digest, where another machine may have taken that.

    Raises
    ------
    UnreadablePhoto
        When the file is gone, damaged, not complete, or no longer the frame that was identified.
    """
    started = time.process_time()
    data = read_only(frame.path)
    if digest_again and image_digest(data) != frame.digest:
        raise UnreadablePhoto("it is not the picture that was identified", frame.path, CHANGED_CURE)
    return _examined(frame, data, measures or all_measures(), previews, started)


def measure(path: Path, previews: Previews | None = None, plug_ins: bool = True) -> Examined:
    """Identify the file at `path` and measure it, as `identify` and `examine` do, from one reading of it.

    `plug_ins`: by their measures too; else those are missing. Raises UnreadablePhoto.
    """
    started = time.process_time()
    data = read_only(path)
    frame = _identified(path, data)
    if plug_ins:
        return _examined(frame, data, all_measures(), previews, started)
    return _without_guests(_examined(frame, data, BUILT_IN, previews, started))


def _without_guests(examined: Examined) -> Examined:
    guests = quantities(all_measures()[len(BUILT_IN) :])
    missing = {each.name: Measurement(each.name, None, LEFT_OUT) for each in guests}
    return replace(examined, measurements={**examined.measurements, **missing})


def _examined(
    frame: Frame, data: bytes, measures: Sequence[Measure], previews: Previews | None, started: float
) -> Examined:
    """What is measured in the `data` of a frame's file, which took from `started` until now to read."""
    clock = time.process_time
    read = clock()
    picture = picture_in(data, frame)
    _loading().join()
    decoded = clock()
    seen = look(picture)
    looked = clock()
    eyes = sitters_eyes(picture, seen)
    eyed = clock()
    points = sitter_points(picture, seen, eyes)
    pointed = clock()
    known, milliseconds = take(
        FrameSubject(frame, picture, seen, sitter_of(seen, eyes, points)), measures, clock
    )
    taken = clock()
    kept, problem = kept_previews(previews, frame, picture, points) if previews else (0, None)
    steps = {
        "read": read - started,
        "decode": decoded - read,
        "look": looked - decoded,
        "eyes": eyed - looked,
        "points": pointed - eyed,
        "previews": clock() - taken,
    }
    return Examined(
        frame,
        known,
        points,
        seen.why_sitter,
        {name: 1000 * seconds for name, seconds in steps.items()} | milliseconds,
        kept,
        problem,
    )


def picture_in(data: bytes, frame: Frame) -> Picture:
    """The picture in the `data` of a frame's file. Raises UnreadablePhoto as `examine` does."""
    try:
        picture = picture_of(_stream(data, frame.path, frame.orientation))
    except EyelineError as error:
        raise UnreadablePhoto(error.what, frame.path, error.cure) from error
    if (picture.width, picture.height) != (frame.width, frame.height):
        raise UnreadablePhoto("it changed while it was being read", frame.path, CHANGED_CURE)
    return picture


def _stream(data: bytes, path: Path, orientation: int) -> Stream:
    # Without a suffix that is known, a file was named by the user as a photo: its content decides.
    kind = PHOTO_KINDS.get(path.suffix.lower(), "JPEG")
    return open_photo(kind, data, path, orientation, _exiftool())


def _rating_is_ours(data: bytes) -> bool:
    from eyeline.sidecar.embedded import rating_is_ours  # brings an RDF parser; few photos need it

    return rating_is_ours(data)


def _turned(size: tuple[int, int], orientation: int) -> tuple[int, int]:
    return (size[1], size[0]) if orientation in SWAPS_SIDES else size


def read_only(path: Path) -> bytes:
    """The bytes of the file at `path`, which is never opened but for reading."""
    try:
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_CLOEXEC", 0))
        with os.fdopen(descriptor, "rb") as file:
            data = file.read()
    except OSError as error:
        raise UnreadablePhoto(
            f"it cannot be read ({error.strerror or error})",
            path,
            "Check that it is still there and that you may read it",
        ) from error
    if not data:
        raise UnreadablePhoto("the file is empty", path, "Copy it from the card again")
    return data
