"""What the camera noted in the file: orientation, time, camera, lens, and a rating given inside."""

from __future__ import annotations

import math
import re
from datetime import datetime
from pathlib import Path

from eyeline.errors import UnreadablePhoto
from eyeline.exiftool import ExifTool, Refused
from eyeline.terms.frame import Capture

_TAGS = (
    "IFD0:Orientation",
    "ExifIFD:DateTimeOriginal",
    "ExifIFD:SubSecTimeOriginal",
    "ExifIFD:OffsetTimeOriginal",
    "IFD0:Make",
    "IFD0:Model",
    "ExifIFD:SerialNumber",
    "ExifIFD:FocalLength",
    "ExifIFD:FocalLengthIn35mmFormat",
    "ExifIFD:CameraElevationAngle",
    "XMP-xmp:Rating",
    "IFD0:Rating",
)


def read_capture(exiftool: ExifTool, path: Path) -> tuple[int, Capture]:
    """The EXIF orientation (1 to 8; 1 where absent or out of range) and the Capture of the photo at `path`.

    Groups are kept apart: the orientation is that of the main image (IFD0), not of the thumbnail; a
    rating is that of the XMP packet, else EXIF 0x4746. A value that is no
    value (0 mm, a date of zeros, 1/0) counts as absent.
    Raises UnreadablePhoto when the file cannot be read; ExifToolFailed when ExifTool itself fails.
    """
    if not path.is_file():
        raise UnreadablePhoto("The file is not there", path, "It was moved or deleted; nothing to do")
    try:
        tags = exiftool.read(path, _TAGS)
    except Refused as error:
        raise UnreadablePhoto(
            error.what, path, "Copy it again from the card, or open it to see what is left"
        ) from error
    orientation = _number(tags.get("IFD0:Orientation"))
    inside = _number(tags.get("XMP-xmp:Rating"))
    capture = Capture(
        taken_at=_taken_at(tags),
        make=_text(tags.get("IFD0:Make")),
        model=_text(tags.get("IFD0:Model")),
        serial=_text(tags.get("ExifIFD:SerialNumber")),
        focal_length_mm=_positive(tags.get("ExifIFD:FocalLength")),
        focal_length_35mm=_positive(tags.get("ExifIFD:FocalLengthIn35mmFormat")),
        camera_elevation_deg=_number(tags.get("ExifIFD:CameraElevationAngle")),
        rating_inside=inside if inside is not None else _number(tags.get("IFD0:Rating")),
    )
    if orientation is None or orientation not in range(1, 9):
        return 1, capture
    return int(orientation), capture


def _text(value: object) -> str | None:
    """`value` as text without padding. JSON turns the words true and false into booleans."""
    if value is None or isinstance(value, (list, dict)):
        return None
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return text.strip(" \0") or None


def _number(value: object) -> float | None:
    """`value` as a finite number; ExifTool writes `inf` and `undef` for fractions over zero."""
    text = _text(value)
    try:
        number = float(text) if text is not None else math.nan
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _positive(value: object) -> float | None:
    """`value` when above 0; EXIF writes 0 for a focal length that is unknown."""
    number = _number(value)
    return number if number is not None and number > 0 else None


def _taken_at(tags: dict[str, object]) -> str | None:
    """ISO 8601 from EXIF's `2026:05:04 10:11:12`, with fraction and offset where the file has them."""
    text = _text(tags.get("ExifIFD:DateTimeOriginal"))
    try:
        moment = datetime.strptime(text or "", "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
    fraction = _text(tags.get("ExifIFD:SubSecTimeOriginal")) or ""
    offset = _text(tags.get("ExifIFD:OffsetTimeOriginal")) or ""
    return (
        moment.isoformat()
        + (f".{fraction}" if re.fullmatch(r"[0-9]+", fraction) else "")
        + (offset if re.fullmatch(r"Z|[+-][0-9]{2}:[0-9]{2}", offset) else "")
    )
