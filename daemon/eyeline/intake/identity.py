"""The identity of a photo: a digest of its image data, whatever is written about it or its name.

Source of the segment structure: ITU-T T.81 (ISO/IEC 10918-1), annex B: markers B.1.1.2 and B.1.1.3,
table B.1; a marker may be preceded by any number of fill bytes FF; within entropy-coded data FF is
followed by 00 (stuffing) or by a restart marker D0 to D7.
"""

from __future__ import annotations

import hashlib
import re

# 256 bits: no two photos will ever share one by chance, and 64 hex digits still fit a line.
DIGEST_BYTES = 32

_SOI, _EOI, _SOS, _COM = 0xD8, 0xD9, 0xDA, 0xFE
_APP0, _APP15 = 0xE0, 0xEF
# Markers without a length (T.81 table B.1): TEM, RST0 to RST7, SOI, EOI.
_STANDALONE = frozenset({0x01, *range(0xD0, 0xDA)})
_ANY_MARKER = re.compile(rb"\xff[^\x00\xff]")
_MARKER_ENDING_A_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")


def looks_like_jpeg(data: bytes) -> bool:
    """Whether `data` begins as every JPEG does: the marker SOI, then another marker."""
    return data[:3] == b"\xff\xd8\xff"


def image_digest(data: bytes) -> str:
    """BLAKE2b of a photo's image data, as 64 hex digits.

    For JPEG: every segment but APPn (FFE0 to FFEF) and COM, wherever they stand, and the entropy-coded
    data of every scan, up to the first EOI. So EXIF with its thumbnail, XMP, ICC profiles and comments
    may come and go without changing it. Left out as well, since no decoder takes them for image data:
    fill bytes before a marker, stray bytes between segments, and all that follows EOI (previews
    of a multi-picture file, padding, a vendor's trailer). For every other kind: the whole file.

    Never raises: a JPEG that breaks off or goes astray is digested as far as it goes, the rest as it is.
    """
    digest = hashlib.blake2b(digest_size=DIGEST_BYTES)
    if not looks_like_jpeg(data):
        digest.update(data)
        return digest.hexdigest()
    view = memoryview(data)
    at = 0
    while found := _ANY_MARKER.search(data, at):
        code = data[found.start() + 1]
        at = found.end()
        if code in _STANDALONE:
            digest.update(found.group())
            if code == _EOI:
                return digest.hexdigest()
            continue
        length = int.from_bytes(data[at : at + 2], "big")
        if length < 2 or at + length > len(data):  # no segment is shorter than its own length field
            break
        if code != _COM and not _APP0 <= code <= _APP15:
            digest.update(found.group())
            digest.update(view[at : at + length])
        at += length
        if code == _SOS:
            scan_end = _MARKER_ENDING_A_SCAN.search(data, at)
            if scan_end is None:
                break
            digest.update(data[at : scan_end.start()].rstrip(b"\xff"))
            at = scan_end.start()
    digest.update(view[at:])
    return digest.hexdigest()
