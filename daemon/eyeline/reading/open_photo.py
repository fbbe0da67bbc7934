"""The one door to every kind of photo: which decoder, which of the file's pictures, which way up."""

from __future__ import annotations

import re
from pathlib import Path

from eyeline.errors import UnreadablePhoto
from eyeline.exiftool import ExifTool
from eyeline.reading.heif import heif_stream
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.raster import raster_stream
from eyeline.reading.raw import raw_stream
from eyeline.reading.stream import Stream

HEIF_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"})
"""Brands of ISO/IEC 23008-12 (`ftyp` box, ISO/IEC 14496-12 section 4.3) for pictures coded by HEVC."""


OTHER_FORMATS = (
    (re.compile(rb"RIFF....WEBP", re.DOTALL), "WebP"),  # RFC 9649, section 2.4
    (re.compile(rb"GIF8[79]a"), "GIF"),  # GIF89a specification, section 17
    (re.compile(rb"....ftypavi[fs]", re.DOTALL), "AVIF"),  # AV1 Image File Format, section 3
    (re.compile(rb"\xff\x0a|\0\0\0\x0cJXL "), "JPEG XL"),  # ISO/IEC 18181-2
    (re.compile(rb"8BPS"), "layered picture (PSD)"),
    (re.compile(rb"%PDF-"), "PDF"),  # ISO 32000-1, 7.5.2
    (re.compile(rb"BM.{4}\0{4}", re.DOTALL), "bitmap (BMP)"),
)
"""How pictures begin that get the name of a photo now and then, and what they are called."""


def open_photo(kind: str, data: bytes, path: Path, orientation: int, exiftool: ExifTool) -> Stream:
    """The picture to measure in the file at `path`, whose bytes are `data`; nothing is decoded yet.

    `kind`: what its name says ("JPEG", "PNG", "TIFF", "HEIF", "RAW"); the first bytes overrule it, since
    phones and converters now and then give a JPEG the name of a HEIC. `orientation`: EXIF, of the main image.

    Raises
    ------
    UnreadablePhoto
        When the file is none of these, or its picture is too small or too large. All that decoding can
        find wrong is raised by the stream's `decode`.
    """
    other = next((name for begins, name in OTHER_FORMATS if begins.match(data)), None)
    if other is not None:
        raise UnreadablePhoto(
            f"this is a {other} file, whatever its name says",
            cure="eyeline does not read those: save it as JPEG, PNG or TIFF in a program that does",
        )
    match _content_kind(data) or kind:
        case "JPEG":
            return jpeg_stream(data, orientation)
        case "PNG" | "TIFF" as raster if kind != "RAW":
            return raster_stream(data, raster, orientation)
        case "HEIF":
            return heif_stream(data)
        case _ if kind == "RAW":
            return raw_stream(data, path, orientation, exiftool)
    raise UnreadablePhoto(f"this is no photo that eyeline reads ({kind})", cure="Remove it, or convert it")


def _content_kind(data: bytes) -> str | None:
    """What the first bytes say; None where they leave it open. TIFF is also how most RAWs begin."""
    if data[:3] == b"\xff\xd8\xff":
        return "JPEG"
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return "PNG"
    if data[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):
        return "TIFF"
    if data[4:8] == b"ftyp" and data[8:12] in HEIF_BRANDS:
        return "HEIF"
    return None
