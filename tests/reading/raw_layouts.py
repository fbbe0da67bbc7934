"""Where makers keep the preview of a RAW: small files of their layouts, with no picture but the preview.

By the tag tables in ExifTool's documentation (Exif, FujiFilm, PanasonicRaw, Canon, Olympus). A real file
holds a great deal more: these show that the preview is found in its place for each kind, not that a camera's
file is read.
"""

from __future__ import annotations

import struct
from collections.abc import Callable

SHORT, LONG, UNDEFINED = 3, 4, 7

Entry = tuple[int, int, int]
"""Tag, type, value. Values below 0 stand for what is known only when all is laid out."""

PREVIEW_AT, PREVIEW_LENGTH, SECOND_DIRECTORY = -1, -2, -3

REDUCED = (254, LONG, 1)
OLD_JPEG = (259, SHORT, 6)
ORIENTATION = 274
JPEG = [(0x201, LONG, PREVIEW_AT), (0x202, LONG, PREVIEW_LENGTH)]
STRIP = [(273, LONG, PREVIEW_AT), (279, LONG, PREVIEW_LENGTH)]


def nef(preview: bytes, orientation: int) -> bytes:
    first = [REDUCED, (ORIENTATION, SHORT, orientation), (330, LONG, SECOND_DIRECTORY)]
    return _tiff([first, [REDUCED, OLD_JPEG, *JPEG]], preview, chained=False)


def pef(preview: bytes, orientation: int) -> bytes:
    return _tiff([[(ORIENTATION, SHORT, orientation)], [REDUCED], [OLD_JPEG, *JPEG]], preview)


def arw(preview: bytes, orientation: int) -> bytes:
    return _tiff([[REDUCED, OLD_JPEG, (ORIENTATION, SHORT, orientation), *JPEG]], preview)


def cr2(preview: bytes, orientation: int) -> bytes:
    first = [OLD_JPEG, (ORIENTATION, SHORT, orientation), *STRIP]
    return _tiff([first], preview, mark=b"CR\x02\0" + bytes(4))


def rw2(preview: bytes, orientation: int) -> bytes:
    first = [(0x2E, UNDEFINED, PREVIEW_AT), (ORIENTATION, SHORT, orientation)]
    return _tiff([first], preview, magic=b"IIU\0")


def raf(preview: bytes, orientation: int) -> bytes:
    """Fujifilm has no orientation but that in the EXIF of the JPEG; `orientation` is to stand there."""
    head = b"FUJIFILMCCD-RAW 0201FF000000" + b"Drawn".ljust(32, b"\0") + b"0100" + bytes(20)
    return head + struct.pack(">II", 0x94, len(preview)) + bytes(0x94 - len(head) - 8) + preview


def cr3(preview: bytes, orientation: int) -> bytes:
    """Boxes of ISO/IEC 14496-12; without metadata, so `orientation` is to be 1."""

    def box(name: bytes, content: bytes) -> bytes:
        return struct.pack(">I", 8 + len(content)) + name + content

    picture = box(b"PRVW", bytes(4) + struct.pack(">HHHHI", 1, 1620, 1080, 1, len(preview)) + preview)
    canon = bytes.fromhex("eaf42b5e1c984b88b9fbb7dc406e4d16")
    return box(b"ftyp", b"crx \0\0\0\1crx isom") + box(b"uuid", canon + struct.pack(">II", 0, 1) + picture)


def orf(preview: bytes, orientation: int) -> bytes:
    """The preview stands in the camera settings of the maker note, its place told from where that begins."""

    def directory(entries: list[Entry]) -> bytes:
        packed = [
            struct.pack("<HHIHxx" if kind == SHORT else "<HHII", tag, kind, 1, value)
            for tag, kind, value in entries
        ]
        return struct.pack("<H", len(packed)) + b"".join(packed) + bytes(4)

    def note(start: int) -> bytes:
        settings = directory([(0x101, LONG, start), (0x102, LONG, len(preview))])
        mark = b"OLYMPUS\0II\3\0"
        at = len(mark) + len(directory([REDUCED]))
        return mark + directory([(0x2020, LONG, at)]) + settings

    first = [(ORIENTATION, SHORT, orientation), (0x8769, LONG, 8 + len(directory([REDUCED, REDUCED])))]
    exif_at = first[1][2]
    note_at = exif_at + len(directory([REDUCED]))
    length = len(note(0))
    exif = struct.pack("<HHHII", 1, 0x927C, UNDEFINED, length, note_at) + bytes(4)
    return b"IIRO" + struct.pack("<I", 8) + directory(first) + exif + note(length) + preview


LAYOUTS: dict[str, Callable[[bytes, int], bytes]] = {
    "nef": nef,
    "pef": pef,
    "arw": arw,
    "cr2": cr2,
    "rw2": rw2,
    "raf": raf,
    "cr3": cr3,
    "orf": orf,
}


def _tiff(
    directories: list[list[Entry]],
    preview: bytes,
    magic: bytes = b"II*\0",
    mark: bytes = b"",
    chained: bool = True,
) -> bytes:
    """Header, `directories` one after the other (each naming the next if `chained`), then `preview`."""
    head = magic + struct.pack("<I", 8 + len(mark)) + mark
    starts, at = [], len(head)
    for entries in directories:
        starts.append(at)
        at += 2 + 12 * len(entries) + 4
    known = {PREVIEW_AT: at, PREVIEW_LENGTH: len(preview), SECOND_DIRECTORY: [*starts, 0][1]}
    out = head
    for number, entries in enumerate(directories):
        out += struct.pack("<H", len(entries))
        for tag, kind, value in sorted(entries):
            count = len(preview) if kind == UNDEFINED else 1
            form = "<HHIHxx" if kind == SHORT else "<HHII"
            out += struct.pack(form, tag, kind, count, known.get(value, value))
        out += struct.pack("<I", [*starts, 0][number + 1] if chained else 0)
    return out + preview
