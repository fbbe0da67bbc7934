"""What segments of a JPEG say of places and lengths outside themselves, which a longer packet would move.

Sources: Exif 2.32 (JEITA CP-3451) 4.5.2 and TIFF 6.0 section 2 for directories; CIPA DC-007-2009 5.2.3 for
the multi-picture index. Maker notes have no published layout: an address in one is known by what lies there.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator

_TIFF_HEADERS = {b"II*\0": "<", b"MM\0*": ">"}
_ENTRY_BYTES = 12
_TYPE_BYTES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8}
"""Bytes of one value, by its type (TIFF 6.0, section 2)."""

_FURTHER_DIRECTORIES = (0x8769, 0x8825, 0xA005)
"""Tags whose value is the place of a directory: Exif, GPS, interoperability (Exif 2.32, 4.6.3)."""

_PLACES = (0x0111, 0x0201)
"""Tags whose value is the place of a picture: StripOffsets, JPEGInterchangeFormat (TIFF 6.0)."""

_MOST_DIRECTORIES = 16
_MOST_ENTRIES = 512
"""Real files have five directories of some sixty entries; a loop of directories must end."""

_PICTURE_BEGINS = re.compile(rb"\xd8\xff[\xc0-\xcf\xdb-\xfe]")
"""The second byte of SOI, and another marker (ITU-T T.81, annex B): some makers put another byte in place of
the first."""

_PICTURE_ENTRIES = 0xB002
_PICTURE_ENTRY_BYTES = 16


def reaches_out(exif: bytes, at: int, jpeg: bytes) -> bool:
    """Whether anything in an EXIF segment is addressed that lies behind it in `jpeg`.

    `exif`: from the TIFF header on, which stands `at` this place of `jpeg`. Looked for are a directory's
    values, and pictures where any number in it points, counted from this or another TIFF header inside it.
    """
    end = at + len(exif)
    if any(at + place + length > end and at + place < len(jpeg) for place, length in _values(exif)):
        return True
    bases = {at + found.start() for header in _TIFF_HEADERS for found in re.finditer(re.escape(header), exif)}
    for found in _PICTURE_BEGINS.finditer(jpeg, end):
        for base in bases:
            distance = found.start() - 1 - base
            if struct.pack("<I", distance) in exif or struct.pack(">I", distance) in exif:
                return True
    return False


def size_of_first_picture(index: bytes, jpeg: bytes) -> tuple[int, str] | None:
    """Where in a multi-picture `index` (from its TIFF header on) the size of the first picture stands, and as
    what (for `struct`); None where none stands there that is true in `jpeg`.
    """
    order = _TIFF_HEADERS.get(index[:4])
    if order is None:
        return None
    for tag, _, length, place in _entries(index, order, _long(index, order, 4)):
        if tag == _PICTURE_ENTRIES and length >= _PICTURE_ENTRY_BYTES and place + length <= len(index):
            size = _long(index, order, place + 4)
            # True where the picture ends there, with EOI.
            return (place + 4, f"{order}I") if jpeg[max(0, size - 2) : size] == b"\xff\xd9" else None
    return None


def _values(tiff: bytes) -> Iterator[tuple[int, int]]:
    """Place and length of all that directories address, both in bytes and counted from the header."""
    order = _TIFF_HEADERS.get(tiff[:4])
    if order is None:
        return
    waiting, seen = [_long(tiff, order, 4)], set[int]()
    while waiting and len(seen) < _MOST_DIRECTORIES:
        directory = waiting.pop()
        if directory in seen or not 0 < directory < len(tiff):
            continue
        seen.add(directory)
        for tag, kind, length, place in _entries(tiff, order, directory):
            yield place, length
            if tag in _FURTHER_DIRECTORIES and kind == 4:
                waiting.append(_long(tiff, order, place))
            elif tag in _PLACES and length == 4:
                yield _long(tiff, order, place), 1
        count = _short(tiff, order, directory)
        waiting.append(_long(tiff, order, directory + 2 + count * _ENTRY_BYTES))


def _entries(tiff: bytes, order: str, directory: int) -> Iterator[tuple[int, int, int, int]]:
    """Tag, type, length of the value in bytes and its place, for each entry of a directory."""
    for number in range(min(_short(tiff, order, directory), _MOST_ENTRIES)):
        at = directory + 2 + number * _ENTRY_BYTES
        if at + _ENTRY_BYTES > len(tiff):
            return
        tag, kind, count, value = struct.unpack_from(f"{order}HHII", tiff, at)
        length = _TYPE_BYTES.get(kind, 0) * count
        if length:
            yield tag, kind, length, at + 8 if length <= 4 else value


def _short(tiff: bytes, order: str, at: int) -> int:
    return int(struct.unpack_from(f"{order}H", tiff, at)[0]) if 0 <= at <= len(tiff) - 2 else 0


def _long(tiff: bytes, order: str, at: int) -> int:
    return int(struct.unpack_from(f"{order}I", tiff, at)[0]) if 0 <= at <= len(tiff) - 4 else 0
