"""Text, numbers and dates as XMP holds them and as ExifTool takes them.

A number is printed in fixed point with at most six decimals.
"""

from __future__ import annotations

import re
from datetime import datetime

_DATE = re.compile(r"\d{4}-\d\d-\d\d(T\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)?)?", re.ASCII)


def fixed_point(number: float) -> str:
    """`number` with at most six decimals and no exponent; minus zero is zero."""
    text = f"{number:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def iso_date(now: datetime) -> str:
    """XMP's form of `now`, whole seconds. Raises ValueError without an offset: XMP would leave it unknown."""
    if now.tzinfo is None:
        raise ValueError("a date for a sidecar needs its offset from UTC")
    return now.isoformat(timespec="seconds")


def exiftool_date(iso: str) -> str:
    """ExifTool's form of an ISO 8601 date: `2031:04:17 18:22:05+02:00`."""
    day, separator, rest = iso.partition("T")
    return day.replace("-", ":") + (" " + rest if separator else "")


def can_be_restored(date: str) -> bool:
    """Whether ExifTool can write the xmp:MetadataDate `date` again as it stands; if not, it is left alone."""
    if not _DATE.fullmatch(date):
        return False
    try:
        datetime.fromisoformat(date)
    except ValueError:
        return False
    return True


def one_line(text: str, what: str) -> str:
    """`text` without blanks at its ends. Raises ValueError for what cannot stand in XML or on one line."""
    stripped = text.strip()
    if not stripped or not stripped.isprintable():
        raise ValueError(f"{what} {text!r} is empty or holds characters that cannot be printed")
    return stripped


def escaped(text: str) -> str:
    """`text` as a value inside ExifTool's structure notation (struct.html: a bar before the specials)."""
    escaped = re.sub(r"([|,}\]])", r"|\1", text)
    return f"|{escaped}" if escaped[:1] in ("{", "[", " ") else escaped
