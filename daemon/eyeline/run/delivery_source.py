"""The pixels that a frame is delivered from: its final, the original, or a preview that was asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from eyeline.deciding.same_exposure import kind_of
from eyeline.errors import printable
from eyeline.finals.transform import Transform
from eyeline.intake.status import status_of
from eyeline.ledger.records import Photo
from eyeline.rendering.render import Source
from eyeline.terms.rectangle import Rectangle
from eyeline.workers.examine import picture_in, read_only

BY_LIBVIPS = ("JPEG", "TIFF", "PNG")
"""Kinds that the renderer opens itself; others are decoded as they were for measuring."""


@dataclass(frozen=True, slots=True)
class Final:
    """A retouched file of a frame. `width`, `height`: pixels, upright; `orientation`: EXIF, as stored. `own`:
    crops that the photographer drew on it, in its fractions. `saved_ns`: when it was, nanoseconds."""

    path: Path
    width: int
    height: int
    orientation: int
    transform: Transform
    identity: str
    own: tuple[Rectangle, ...] = ()
    saved_ns: int = 0


@dataclass(frozen=True, slots=True)
class Finals:
    """The final of each frame that has one, by the frame's path; and what was told of the others."""

    of: Mapping[Path, Final] = field(default_factory=dict)
    told: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DeliverySource:
    """`kind`: "original", "final" or "preview". `transform`: from the frame's places to the source's, None
    where they are the same. `identity`: text that changes with its content. `own`: as `Final.own`."""

    path: Path
    kind: str
    width: int
    height: int
    orientation: int
    identity: str
    photo: Photo
    transform: Transform | None = None
    own: tuple[Rectangle, ...] = ()

    @property
    def is_the_frame(self) -> bool:
        """Whether its pixels are those that were measured."""
        return self.transform is None

    def carried(self, area: Rectangle, shot: tuple[int, int]) -> Rectangle | None:
        """Where `area` of the frame as `shot` lies; None where it reaches beyond the source."""
        if self.transform is None:
            return area
        return self.transform.carried(area, shot, (self.width, self.height))

    def back(self, area: Rectangle, shot: tuple[int, int]) -> Rectangle:
        """The part of the frame as `shot` that `area` of the source shows."""
        if self.transform is None:
            return area
        return self.transform.back(area, shot, (self.width, self.height))

    def pixels(self) -> Source:
        """What the renderer cuts from. Raises UnreadablePhoto."""
        decoded = None
        if self.kind == "preview" or kind_of(self.path) not in BY_LIBVIPS:
            decoded = _decoded(self.photo)
        orientation = 1 if decoded is not None else self.orientation
        return Source(self.path, self.width, self.height, orientation, decoded)


def source_of(photo: Photo, finals: Finals, from_preview: bool) -> DeliverySource | str:
    """The source for `photo`; or why there is none."""
    frame = photo.frame
    final = finals.of.get(frame.path)
    if final is not None:
        size = final.width, final.height
        return DeliverySource(
            final.path, "final", *size, final.orientation, final.identity, photo, final.transform, final.own
        )
    if status_of(frame.path) is None:
        return "the photo is gone"
    kind = "original"
    if kind_of(frame.path) == "RAW":
        if not from_preview:
            name = printable(frame.path.name)
            return f"there is only {name}, which is not developed here: give a final, or --from-preview"
        kind = "preview"
    return DeliverySource(frame.path, kind, frame.width, frame.height, frame.orientation, frame.digest, photo)


def _decoded(photo: Photo) -> NDArray[np.uint8]:
    return np.ascontiguousarray(picture_in(read_only(photo.frame.path), photo.frame).rgb)
