"""HEIC and HEIF by libheif, through pi-heif, which brings a decoder and no encoder along.

A HEIF file turns its picture by properties of its own (`irot`, `imir`, ISO/IEC 23008-12 section 6.5), which
belong to decoding: what the decoder gives is upright, and EXIF Orientation beside them is to be ignored.
"""

from __future__ import annotations

import io
from typing import Any

from PIL import Image

from eyeline.errors import UnreadablePhoto, in_plain_words, is_out_of_memory
from eyeline.reading.colour import stored
from eyeline.reading.stream import RASTER_BYTES_A_PIXEL, Stored, Stream, check_size, damaged


def heif_stream(data: bytes) -> Stream:
    """The primary picture of a HEIF file. Raises UnreadablePhoto when `data` is none, or of no fit size."""
    width, height = _size(_opened(data))
    return Stream(width, height, 1, 1, lambda: _decode(data))


def _decode(data: bytes) -> Stored:
    opened = _opened(data)
    _size(opened)
    try:
        picture: Image.Image = opened.to_pillow()
    except Exception as error:  # the binding raises what libheif says, as several classes
        if is_out_of_memory(error):
            raise
        raise damaged(error) from error
    return stored(picture, opened.info.get("icc_profile"))


def _size(opened: Any) -> tuple[int, int]:
    width, height = opened.size
    return check_size(width, height, RASTER_BYTES_A_PIXEL)


def _opened(data: bytes) -> Any:
    import pi_heif  # loads a codec of several megabytes: only for those who have such photos

    try:
        opened = pi_heif.open_heif(io.BytesIO(data), convert_hdr_to_8bit=True)
        _ = opened.size  # there may be no picture in it
    except Exception as error:
        if is_out_of_memory(error):
            raise
        raise UnreadablePhoto(
            f"this is no readable HEIF ({in_plain_words(error)})",
            cure="Copy it from the card again, or remove it",
        ) from error
    return opened
