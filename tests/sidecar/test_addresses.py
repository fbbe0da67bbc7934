"""JPEGs in which something addresses what lies behind its own segment: kept true, or refused.

Layouts: TIFF 6.0 section 2 and Exif 2.32 4.6 (directories), CIPA DC-007-2009 5.2.3 (multi-picture index). A
maker's preview behind the image is addressed from the TIFF header by a number in the maker note; some makers
put another byte in place of its first (as found in a public collection of camera files).
"""

from __future__ import annotations

import io
import struct
from pathlib import Path

import pytest
from PIL import Image

from eyeline.exiftool import ExifTool
from eyeline.sidecar.naming import Naming
from eyeline.sidecar.outcome import Result
from tests.sidecar.examples import write
from tests.sidecar.test_embedded import jpeg, segment

EXIF_IFD, MAKER_NOTE, LONG, UNDEFINED = 0x8769, 0x927C, 4, 7


def directory(order: str, *entries: tuple[int, int, int, int]) -> bytes:
    """An image file directory: count, entries of (tag, type, count, value or place), no next one."""
    body = b"".join(struct.pack(f"{order}HHII", *entry) for entry in entries)
    return struct.pack(f"{order}H", len(entries)) + body + bytes(4)


def exif(order: str, note: bytes) -> bytes:
    """IFD0 with the Exif directory alone, in which a maker note of these bytes lies."""
    header = (b"II*\0" if order == "<" else b"MM\0*") + struct.pack(f"{order}I", 8)
    first = directory(order, (EXIF_IFD, LONG, 1, 8 + 18))
    second = directory(order, (MAKER_NOTE, UNDEFINED, len(note), 8 + 18 + 18))
    return b"Exif\0\0" + header + first + second + note


def with_exif(order: str, note: bytes, trailer: bytes) -> bytes:
    plain = jpeg()
    return plain[:2] + segment(0xE1, exif(order, note)) + plain[2:] + trailer


def addressing(order: str, distance_beyond: int = 0, header: bytes = b"", first: bytes = b"\xff") -> bytes:
    """A JPEG whose maker note names the place of a preview behind EOI, counted from the TIFF header."""
    preview = first + jpeg(quality=20)[1:]
    plain = jpeg()

    def made(place: int) -> bytes:
        note = header + directory(order, (0x0088, LONG, 1, place), (0x0089, LONG, 1, len(preview)))
        return with_exif(order, note, preview)

    segments = len(
        segment(0xE1, exif(order, header + directory(order, (0x88, LONG, 1, 0), (0x89, LONG, 1, 0))))
    )
    behind_image = len(plain) + segments
    tiff_header = 2 + 4 + len(b"Exif\0\0")
    return made(behind_image - tiff_header + distance_beyond)


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("header", [b"", b"MAKER\0\0\0", b"odd"])
@pytest.mark.parametrize("first", [b"\xff", b"\0"])
def test_a_maker_s_preview_behind_the_image_is_not_misdirected(
    exiftool: ExifTool, photo: Path, order: str, header: bytes, first: bytes
) -> None:
    content = addressing(order, header=header, first=first)
    photo.write_bytes(content)
    outcome = write(exiftool, photo, naming=Naming.EMBED)
    assert outcome.result is Result.REFUSED
    assert "preview behind the image" in outcome.sentence
    assert photo.read_bytes() == content


def test_a_number_that_addresses_no_picture_is_no_reason(exiftool: ExifTool, photo: Path) -> None:
    photo.write_bytes(addressing("<", distance_beyond=-5))
    assert write(exiftool, photo, naming=Naming.EMBED).result is Result.WRITTEN


def test_a_value_of_a_directory_behind_its_segment_is_not_misdirected(
    exiftool: ExifTool, photo: Path
) -> None:
    header = b"II*\0" + struct.pack("<I", 8)
    content = jpeg()
    outside = (
        b"Exif\0\0" + header + directory("<", (0x010E, 2, 40, 200))
    )  # ImageDescription, behind the segment
    photo.write_bytes(content[:2] + segment(0xE1, outside) + content[2:])
    outcome = write(exiftool, photo, naming=Naming.EMBED)
    assert outcome.result is Result.REFUSED


def multi_picture(first: int, second: int, place: int) -> bytes:
    """The index of two pictures (DC-007 5.2.3): version, number, entries of attribute, size, place, 2 x 0."""
    entries = struct.pack(">IIIHH", 0x030000, first, 0, 0, 0) + struct.pack(">IIIHH", 0, second, place, 0, 0)
    index = directory(
        ">",
        (0xB000, UNDEFINED, 4, int.from_bytes(b"0100", "big")),
        (0xB001, LONG, 1, 2),
        (0xB002, UNDEFINED, len(entries), 8 + 2 + 3 * 12 + 4),
    )
    return b"MPF\0" + b"MM\0*" + struct.pack(">I", 8) + index + entries


def two_pictures() -> bytes:
    plain, second = jpeg(), jpeg(quality=30)
    length = len(plain) + len(segment(0xE2, multi_picture(0, 0, 0)))
    header = 2 + 4 + 4  # SOI, marker and length, "MPF\0": places count from here
    return plain[:2] + segment(0xE2, multi_picture(length, len(second), length - header)) + plain[2:] + second


def pictures_of(content: bytes) -> list[bytes]:
    """Both pictures as the index names them, cut out of the file."""
    at = content.index(b"MPF\0") + 4
    entries = at + 8 + 2 + 3 * 12 + 4
    found = []
    for number in range(2):
        _, size, place = struct.unpack_from(">III", content, entries + 16 * number)
        start = at + place if number else 0
        found.append(content[start : start + size])
    return found


def test_the_size_of_the_first_picture_stays_true_and_the_second_where_it_is(
    exiftool: ExifTool, photo: Path
) -> None:
    content = two_pictures()
    photo.write_bytes(content)
    _, second = pictures_of(content)
    outcome = write(exiftool, photo, naming=Naming.EMBED)
    assert outcome.result is Result.WRITTEN, outcome.sentence
    after = photo.read_bytes()
    first, still = pictures_of(after)
    assert still == second
    assert first == after[: len(after) - len(second)]
    assert first.endswith(b"\xff\xd9")
    with Image.open(photo) as picture:  # an independent reader of the index
        assert getattr(picture, "n_frames", 1) == 2
        picture.seek(1)
        assert picture.convert("RGB").tobytes() == Image.open(io.BytesIO(second)).convert("RGB").tobytes()


def test_taken_back_every_byte_is_as_before(exiftool: ExifTool, photo: Path) -> None:
    from eyeline.sidecar.restoring import restore

    content = two_pictures()
    photo.write_bytes(content)
    outcome = write(exiftool, photo, naming=Naming.EMBED)
    assert outcome.digest_after is not None
    assert restore(photo, (outcome.digest_after,), None)
    assert photo.read_bytes() == content
