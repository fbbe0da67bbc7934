"""PNG and TIFF (8 and 16 bit) by Pillow."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Literal

from PIL import Image

from eyeline.errors import UnreadablePhoto, in_plain_words
from eyeline.reading.colour import stored
from eyeline.reading.stream import DECODING_BYTES, RASTER_BYTES_A_PIXEL, Stored, Stream, check_size, damaged

_ORIENTATION = 0x0112
_MOST_MILLION = DECODING_BYTES // RASTER_BYTES_A_PIXEL // 1_000_000


def raster_stream(data: bytes, kind: Literal["PNG", "TIFF"], orientation: int) -> Stream:
    """The first picture of a PNG or TIFF; `orientation`: as the file's EXIF tells it.

    Pillow turns a TIFF upright while it decodes, and its size speaks of that.
    Raises UnreadablePhoto when `data` is no such file or its size is out of range.
    """
    with _opened(data, kind) as picture:
        width, height = check_size(*picture.size, RASTER_BYTES_A_PIXEL)
        turned = kind == "TIFF" and picture.getexif().get(_ORIENTATION, 1) != 1
    return Stream(width, height, 1 if turned else orientation, orientation, lambda: _decode(data, kind))


def _decode(data: bytes, kind: Literal["PNG", "TIFF"]) -> Stored:
    with _opened(data, kind) as picture:
        check_size(*picture.size, RASTER_BYTES_A_PIXEL)
        profile = picture.info.get("icc_profile")
        try:
            picture.load()
            return stored(picture, profile)
        except UnreadablePhoto:
            raise
        except MemoryError:
            raise
        except Exception as error:  # Pillow's decoders raise what they like on damaged data
            raise damaged(error) from error


@contextmanager
def _opened(data: bytes, kind: str) -> Iterator[Image.Image]:
    """`data` opened, its header read, no pixel decoded."""
    try:
        with warnings.catch_warnings():
            # It warns from half the limit on; what is refused is said below and by `check_size`.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(io.BytesIO(data), formats=(kind,))
    except Image.DecompressionBombError as error:
        raise UnreadablePhoto(
            f"it has more pixels than eyeline decodes of this kind of file ({_MOST_MILLION} million)",
            cure="Save it smaller, or leave it out of the watched folder",
        ) from error
    except MemoryError:
        raise
    except Exception as error:  # likewise in headers: OSError, SyntaxError, ValueError, struct.error
        raise UnreadablePhoto(
            f"this is no readable {kind} ({in_plain_words(error)})",
            cure="Copy it from the card again, or remove it",
        ) from error
    with picture:
        yield picture
