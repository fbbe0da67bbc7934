"""Camera RAW: through the largest JPEG that the camera put into it, else developed by LibRaw."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from eyeline.errors import UnreadablePhoto, in_plain_words, is_out_of_memory
from eyeline.exiftool import ExifTool, Refused
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.stream import RAW_BYTES_A_PIXEL, Stored, Stream, check_size, damaged

PREVIEW_TAGS = ("JpgFromRaw", "JpgFromRaw2", "PreviewImage", "OtherImage")
"""Where cameras keep previews, as ExifTool names them. The 160-pixel
ThumbnailImage is left out: no face can be measured in it."""

LEAST_PREVIEW_SIDE_PX = 1000
"""Short side from which a preview serves instead of the RAW: a head of 20 % of the frame still has 200 px,
what the face mesh looks at. Smaller ones (some cameras keep 640 × 480) serve only if LibRaw fails."""

SRGB_GAMMA = (2.4, 12.92)
"""Exponent and slope at black of sRGB's curve (IEC 61966-2-1); LibRaw's own default is that of BT.709."""

_BINARY = re.compile(r"\(Binary data (\d+) bytes")
_ORIENTATION = 0x0112


def raw_stream(data: bytes, path: Path, orientation: int, exiftool: ExifTool) -> Stream:
    """The picture of the RAW file at `path`, whose bytes are `data`; `orientation`: of its main image.

    A preview that names an orientation of its own is turned by that, one that lies the other way than the
    main image not at all, any other by the RAW's.
    Raises UnreadablePhoto when there is neither a preview nor a RAW that LibRaw can develop.
    """
    preview = _largest_preview(path, orientation, exiftool)
    if preview is not None and min(preview.width, preview.height) >= LEAST_PREVIEW_SIDE_PX:
        return preview
    try:
        return _sensor_stream(data, orientation)
    except UnreadablePhoto:
        if preview is not None:
            return preview
        raise


def _largest_preview(path: Path, orientation: int, exiftool: ExifTool) -> Stream | None:
    """The preview with most bytes that is a readable JPEG."""
    try:
        found = exiftool.read(path, (*PREVIEW_TAGS, "Composite:ImageSize"))
    except Refused:
        return None
    sizes = {tag: int(match[1]) for tag, text in found.items() if (match := _BINARY.match(str(text)))}
    for tag in sorted(sizes, key=lambda tag: sizes[tag], reverse=True):
        content = exiftool.extract(path, tag)
        try:
            stream = jpeg_stream(content, orientation, is_preview=True)
        except UnreadablePhoto:
            continue
        own = _orientation_in(content)
        if own is None and _lies_otherwise(stream, found.get("Composite:ImageSize")):
            own = 1  # turned upright when it was put in, and silent about it
        return replace(stream, orientation=own or orientation)
    return None


def _lies_otherwise(preview: Stream, main_size: object) -> bool:
    """Whether one of preview and main image ("width height" as stored) is upright and the other wide."""
    try:
        width, height = map(int, str(main_size).split())
    except ValueError:
        return False
    return (preview.width - preview.height) * (width - height) < 0


def _orientation_in(jpeg: bytes) -> int | None:
    """The EXIF orientation that a preview states of itself."""
    try:
        with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as picture:
            stated = picture.getexif().get(_ORIENTATION)
    except Exception:  # Pillow raises what it likes; a preview that says nothing readable says nothing
        return None
    return stated if stated in range(1, 9) else None


def _sensor_stream(data: bytes, orientation: int) -> Stream:
    with _opened(data) as raw:
        width, height = check_size(raw.sizes.width, raw.sizes.height, RAW_BYTES_A_PIXEL)
    return Stream(width, height, orientation, orientation, lambda: _develop(data))


def _develop(data: bytes) -> Stored:
    """As stored, with the camera's white balance and no automatic brightening: white is the sensor's."""
    with _opened(data) as raw:
        try:
            developed = raw.postprocess(
                use_camera_wb=True, no_auto_bright=True, gamma=SRGB_GAMMA, user_flip=0
            )
            return Stored(np.asarray(developed))
        except Exception as error:  # rawpy raises one class for each of LibRaw's complaints
            if is_out_of_memory(error):
                raise
            raise damaged(error) from error


def _opened(data: bytes) -> Any:
    import rawpy  # loads LibRaw: only for a RAW without a preview

    try:
        return rawpy.imread(io.BytesIO(data))
    except Exception as error:
        if is_out_of_memory(error):
            raise
        raise UnreadablePhoto(
            f"this is no RAW that eyeline can read ({in_plain_words(error)})",
            cure="Copy it from the card again, or convert it to DNG",
        ) from error
