"""A delivered file measured as it is on disk, by its own pixels."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from eyeline.measuring.catalogue import BUILT_IN
from eyeline.measuring.eye_blur import MEASURE as EYE_BLUR
from eyeline.measuring.eye_network import sitters_eyes
from eyeline.measuring.framing_as_shot import MEASURE as FRAMING
from eyeline.measuring.points import sitter_points
from eyeline.measuring.take import take
from eyeline.reading.look import look
from eyeline.reading.picture import picture_of
from eyeline.reading.stream import Stored, Stream
from eyeline.terms.frame import Frame
from eyeline.terms.measurement import FrameSubject, Measurement
from eyeline.terms.sitter import sitter_of

PROMISED = (FRAMING, EYE_BLUR)
"""The measures of what is promised of every file."""


def measure_again(path: Path, every: bool = False) -> Mapping[str, Measurement]:
    """What is promised of the file at `path`, or with `every` all measures. Raises UnreadablePhoto."""
    from eyeline.rendering.file_facts import (
        decoded,
    )  # brings libvips; workers that deliver nothing do without

    pixels = decoded(path)
    height, width = pixels.shape[:2]
    picture = picture_of(Stream(width, height, 1, 1, lambda: Stored(pixels)))
    seen = look(picture)
    eyes = sitters_eyes(picture, seen)
    points = sitter_points(picture, seen, eyes)
    frame = Frame(path, "", width, height, width, height, 1)
    subject = FrameSubject(frame, picture, seen, sitter_of(seen, eyes, points))
    known, _ = take(subject, BUILT_IN if every else PROMISED)
    return known
