"""The picture inside a file that is decoded: its size before any pixel is, and how to get at its pixels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.errors import UnreadablePhoto, in_plain_words

DECODING_BYTES = 2_000_000_000
"""Most memory that decoding one picture may take. A worker's limit lies above it (`settings.machine`)."""

JPEG_BYTES_A_PIXEL = 7
"""Decoded 3, upright in sRGB 3, at half the size 0.75."""

RASTER_BYTES_A_PIXEL = 11
"""PNG, TIFF, HEIF through Pillow: 4 there, 6 while they are copied out, 0.75 at half the size (measured:
11.1 for a PNG of 17,000 × 17,000)."""

RAW_BYTES_A_PIXEL = 13
"""LibRaw: 8 in four colours of 16 bits, 2 of the sensor, 3 developed."""

MOST_PIXELS = DECODING_BYTES // JPEG_BYTES_A_PIXEL
"""Largest JPEG, in pixels: 285 million. Medium-format backs end at 151 million, which fits as RAW too."""

SMALLEST_SIDE_PX = 64
"""Below this side no face can be measured: the face mesh looks at 192 × 192 px."""


@dataclass(frozen=True, slots=True, eq=False)
class Stored:
    """Decoded pixels as they are stored, uint8 (M, N, 3).

    `to_srgb` brings any part of them, (m, n, 3), to sRGB; None where they are sRGB.
    """

    pixels: NDArray[np.uint8]
    to_srgb: Callable[[NDArray[np.uint8]], NDArray[np.uint8]] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Stream:
    """One picture of a file, not decoded yet.

    `width`, `height`: pixels as `decode` gives them. `orientation`: EXIF 1 to 8,
    what brings those pixels upright. `stored_orientation`: EXIF 1 to 8 of the file's main image as
    stored, the frame in which regions are told; the two differ where a decoder has turned the pixels
    already, or where a preview inside a RAW is stored otherwise than its main image.
    `is_preview`: a rendering that the camera put into a RAW, whose white is not the sensor's.
    """

    width: int
    height: int
    orientation: int
    stored_orientation: int
    decode: Callable[[], Stored]
    is_preview: bool = False


def check_size(width: int, height: int, bytes_a_pixel: int) -> tuple[int, int]:
    """`width` and `height` in pixels, as a header tells them.

    Raises UnreadablePhoto when they are too few to hold a portrait, or decoding them would take more than
    `DECODING_BYTES`: before memory is spent on a picture that was made to exhaust it.
    """
    if min(width, height) < SMALLEST_SIDE_PX:
        raise UnreadablePhoto(
            f"{width} × {height} pixels are too few to measure a portrait",
            cure=f"Give a photo with at least {SMALLEST_SIDE_PX} pixels on its short side",
        )
    if width * height * bytes_a_pixel > DECODING_BYTES:
        raise UnreadablePhoto(
            f"{width} × {height} pixels are more than eyeline decodes of this kind of file "
            f"({DECODING_BYTES // bytes_a_pixel // 1_000_000} million)",
            cure="Save it smaller, or leave it out of the watched folder",
        )
    return width, height


def damaged(reason: object) -> UnreadablePhoto:
    """The error for a picture that breaks off or cannot be decoded, for `reason`."""
    why = in_plain_words(reason) if isinstance(reason, BaseException) else reason
    return UnreadablePhoto(
        f"the picture in it is damaged or not complete ({why})", cure="Copy it from the card again"
    )
