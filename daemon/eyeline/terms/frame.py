"""A frame: one exposure as a file, and the pixels decoded from it."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

Kept = TypeVar("Kept")


@dataclass(frozen=True, slots=True)
class Capture:
    """What the camera noted about the exposure. Every field is None where the file does not say.

    `taken_at` is ISO 8601 local time with sub-seconds and offset where known, as a string, since
    most cameras record no offset and an aware datetime would invent one.
    `camera_elevation_deg`: EXIF CameraElevationAngle, + = camera looks up.
    `rating_inside`: a rating that the file itself carries (XMP packet, else EXIF 0x4746).
    """

    taken_at: str | None = None
    make: str | None = None
    model: str | None = None
    serial: str | None = None
    focal_length_mm: float | None = None
    focal_length_35mm: float | None = None
    camera_elevation_deg: float | None = None
    rating_inside: float | None = None


@dataclass(frozen=True, slots=True)
class Frame:
    """One photo file as it lies on disk.

    `digest`: BLAKE2b hex of the image data (intake.identity). `width`, `height`: pixels, upright.
    `stored_width`, `stored_height`: pixels as stored, before `orientation` (EXIF 1 to 8).
    """

    path: Path
    digest: str
    width: int
    height: int
    stored_width: int
    stored_height: int
    orientation: int
    capture: Capture = Capture()


class Pixels(Protocol):
    """Upright sRGB pixels, uint8 (M, N, 3): an array, or something that turns and converts the part of it
    that is asked for. Ask for a window, `pixels[top:bottom, left:right]`; `np.asarray` gives all, which takes
    longer than measuring the rest of the photo.
    """

    @property
    def shape(self) -> tuple[int, ...]:
        """(M, N, 3)."""

    def __getitem__(self, window: Any, /) -> NDArray[np.uint8]:
        """The window as an array."""


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """Decoded pixels: `rgb` at the file's full size.

    `reduced`: the same picture, uint8, long side at most `reading.picture.REDUCED_LONG_SIDE_PX`,
    for models and for whatever needs no fine detail. `middle`: a size between the two, or `rgb` itself where
    that is small, to look at. `is_preview`: the rendering that a camera put into its RAW, where white comes
    earlier than on the sensor.
    """

    rgb: Pixels
    reduced: NDArray[np.uint8]
    is_preview: bool = False
    middle: Pixels | None = None
    _kept: dict[Hashable, Any] = field(default_factory=dict, init=False, repr=False)

    def once(self, what: Hashable, make: Callable[[], Kept]) -> Kept:
        """What `make` gives, made when first asked for and kept with the picture; nobody may write into it.

        For what several look at, by the name `what` and all that it depends on beside the picture.
        """
        if what not in self._kept:
            self._kept[what] = make()
        return cast(Kept, self._kept[what])

    @property
    def height(self) -> int:
        """Pixels."""
        return int(self.rgb.shape[0])

    @property
    def width(self) -> int:
        """Pixels."""
        return int(self.rgb.shape[1])
