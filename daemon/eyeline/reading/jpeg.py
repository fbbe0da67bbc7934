"""JPEG: decoded strictly, so that a copy under way does not pass for a whole photo."""

from __future__ import annotations

import io

import numpy as np
import simplejpeg
from PIL import Image

from eyeline.errors import UnreadablePhoto, in_plain_words, is_out_of_memory
from eyeline.pixels.reused import picture_memory
from eyeline.reading.colour import stored_rgb, to_srgb
from eyeline.reading.jpeg_mending import mended
from eyeline.reading.stream import JPEG_BYTES_A_PIXEL, Stored, Stream, check_size, damaged

START_OF_SCAN = b"\xff\xda"
"""The marker SOS (ITU-T T.81, table B.1). Within entropy-coded data FF is followed by 00 or a restart
marker, so what else it may stand in are previews inside of application segments: a handful."""

MOST_SCANS = 100
"""Scans of a progressive JPEG: encoders write about ten. Each is a pass over all coefficients, so 3,000 of
them keep a decoder busy for minutes."""


def stored_size(data: bytes) -> tuple[int, int]:
    """Width and height in pixels as stored, from the header alone.

    Raises
    ------
    UnreadablePhoto
        When `data` is no JPEG, is too small to hold a portrait, too large to decode, or of too many scans.
    """
    try:
        height, width, _colour, _subsampling = simplejpeg.decode_jpeg_header(data, strict=False)
    except (ValueError, KeyError) as error:
        why = "its header is not complete" if isinstance(error, KeyError) else in_plain_words(error)
        raise UnreadablePhoto(
            f"this is no readable JPEG ({why})", cure="Copy it from the card again, or remove it"
        ) from error
    if _scans(data) > MOST_SCANS:
        raise UnreadablePhoto(
            f"it is stored in more than {MOST_SCANS} passes over the whole picture, which no camera does",
            cure="Save it anew with another program",
        )
    return check_size(width, height, JPEG_BYTES_A_PIXEL)


def _scans(data: bytes) -> int:
    """How often `START_OF_SCAN` stands in `data`.

    Bytes are compared two at a time, from the first and from the second on: an eighth of the time of
    `bytes.count`, which takes 10 ms for 10 MB.
    """
    marker = int.from_bytes(START_OF_SCAN, "little")
    return sum(
        int(np.count_nonzero(np.frombuffer(data, "<u2", (len(data) - first) // 2, first) == marker))
        for first in (0, 1)
    )


def jpeg_stream(data: bytes, orientation: int, is_preview: bool = False) -> Stream:
    """The picture of a JPEG; `orientation`: EXIF. Raises UnreadablePhoto as `stored_size` does."""
    size = stored_size(data)
    return Stream(*size, orientation, orientation, lambda: _decoded(data, size), is_preview)


def decode_jpeg(data: bytes) -> Stored:
    """Pixels as stored. Raises UnreadablePhoto for data that ends early or is corrupt."""
    return _decoded(data, stored_size(data))


def _decoded(data: bytes, size: tuple[int, int]) -> Stored:
    """As `decode_jpeg`, of data whose `stored_size` is known."""
    width, height = size
    try:
        with Image.open(io.BytesIO(data)) as header:
            mode, profile = header.mode, header.info.get("icc_profile")
    except Exception:  # Pillow raises what it likes on damaged headers; the strict decoder below decides
        mode, profile = "RGB", None
    try:
        if mode == "CMYK":  # libjpeg gives no RGB for it
            with Image.open(io.BytesIO(data)) as picture:
                return Stored(to_srgb(picture, profile))
        memory = picture_memory(3 * width * height)
        try:
            decoded = simplejpeg.decode_jpeg(data, colorspace="RGB", strict=True, buffer=memory)
        except ValueError:  # of damage, or of something that the picture does not need
            mended_data = mended(data)
            if mended_data == data:
                raise
            decoded = simplejpeg.decode_jpeg(mended_data, colorspace="RGB", strict=True, buffer=memory)
        pixels = np.asarray(decoded)
    except Exception as error:
        if is_out_of_memory(error):
            raise
        raise damaged(error) from error
    return stored_rgb(pixels, profile)
