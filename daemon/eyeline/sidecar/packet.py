"""The XMP packet inside a JPEG: found, replaced, taken out; every other byte stays as it is.

Source: XMP Specification Part 3 (JPEG: one APP1 segment, its name, then the packet) and ITU-T T.81 annex B
(segments). The packet alone is replaced, so image data, EXIF, profiles, previews after the image and
whatever else others keep in the file are the same bytes before and after.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

from eyeline.errors import UnsafeSidecar
from eyeline.sidecar.addresses import reaches_out, size_of_first_picture

NAME = b"http://ns.adobe.com/xap/1.0/\0"
EXTENSION_NAME = b"http://ns.adobe.com/xmp/extension/\0"
EXIF_NAME = b"Exif\0\0"
MULTI_PICTURE_NAME = b"MPF\0"

LARGEST_PACKET = 0xFFFF - 2 - len(NAME)
"""Bytes: the length of a segment counts itself and has 16 bits."""

EMPTY_PACKET = (
    b"<?xpacket begin='\xef\xbb\xbf' id='W5M0MpCehiHzreSzNTczkc9d'?>\n"
    b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>\n"
    b"<rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>\n"
    b"</rdf:RDF>\n"
    b"</x:xmpmeta>\n"
    b"<?xpacket end='w'?>"
)
"""A packet with nothing in it (XMP Part 1, 7.3.2)."""

USE_SIDECARS = 'It was left as it is; set write = "sidecar" in the configuration'

_APP0, _APP1, _APP2 = 0xE0, 0xE1, 0xE2
_SOI, _EOI, _SOS = 0xD8, 0xD9, 0xDA


@dataclass(frozen=True, slots=True)
class _Segment:
    """`raw`: all its bytes, with fill bytes before the marker; `content`: after the length."""

    code: int
    raw: bytes
    content: bytes


def packet_in(jpeg: bytes) -> bytes | None:
    """The packet, None where there is none. Raises UnsafeSidecar for what cannot be edited without risk."""
    segments, _ = _split(jpeg)
    found = [segment for segment in segments if _is_packet(segment)]
    if len(found) > 1:
        raise UnsafeSidecar(
            f"It holds {len(found)} XMP packets", cure="Let the program that wrote it save it"
        )
    if any(s.code == _APP1 and s.content.startswith(EXTENSION_NAME) for s in segments):
        raise UnsafeSidecar("Its XMP is spread over several segments (extended XMP)", cure=USE_SIDECARS)
    return found[0].content[len(NAME) :] if found else None


def with_packet(jpeg: bytes, packet: bytes | None) -> bytes:
    """`jpeg` with `packet` in place of the one it has; None takes it out.

    A new one goes behind JFIF and EXIF, where readers expect it. Raises UnsafeSidecar for a packet that
    no segment can hold, and for one whose length would move what is addressed from before it: pictures of a
    multi-picture index, a maker's preview behind the image. Where such an index names the size of the first
    picture, that is kept true.
    """
    packet_in(jpeg)  # raises for what is not to be edited
    segments, tail = _split(jpeg)
    new = b"" if packet is None else _packed(packet)
    old = next((place for place, segment in enumerate(segments) if _is_packet(segment)), None)
    parts = [segment.raw for segment in segments]
    if old is None:
        place = _place(segments)
        parts.insert(place, new)
        moved = len(new)
    else:
        place = old
        moved = len(new) - len(parts[old])
        parts[old] = new
    # Offsets of CIPA DC-007 count from its own segment on: what lies before may grow, what lies behind not.
    if moved and any(_is_picture_index(segment) for segment in segments[:place]):
        raise UnsafeSidecar(
            "Its XMP lies behind an index of further pictures, which would point beside them",
            cure=USE_SIDECARS,
        )
    if moved and any(_reaches_out(segments, number, jpeg) for number in range(place)):
        raise UnsafeSidecar(
            "Its EXIF addresses a preview behind the image, which a longer XMP would move", cure=USE_SIDECARS
        )
    for number in range(len(segments)):
        if moved and _is_picture_index(segments[number]):
            parts[number + (old is None and number >= place)] = _resized(segments[number], jpeg, moved)
    return b"\xff\xd8" + b"".join(parts) + tail


def apart_from_packet(jpeg: bytes) -> tuple[bytes, ...]:
    """Every byte of `jpeg` but the packet's segment and the size of the first picture in a multi-picture
    index, in order: equal before and after, or nothing is kept.
    """
    segments, tail = _split(jpeg)
    others = [segment for segment in segments if not _is_packet(segment)]
    return (*(_without_size(s, jpeg) if _is_picture_index(s) else s.raw for s in others), tail)


def _packed(packet: bytes) -> bytes:
    if len(packet) > LARGEST_PACKET:
        raise UnsafeSidecar(
            f"Its XMP would have {len(packet)} bytes, more than the {LARGEST_PACKET} of a segment",
            cure=USE_SIDECARS,
        )
    content = NAME + packet
    return b"\xff\xe1" + (len(content) + 2).to_bytes(2, "big") + content


def _is_packet(segment: _Segment) -> bool:
    return segment.code == _APP1 and segment.content.startswith(NAME)


def _is_picture_index(segment: _Segment) -> bool:
    return segment.code == _APP2 and segment.content.startswith(MULTI_PICTURE_NAME)


def _reaches_out(segments: list[_Segment], number: int, jpeg: bytes) -> bool:
    segment = segments[number]
    if segment.code != _APP1 or not segment.content.startswith(EXIF_NAME):
        return False
    before = 2 + sum(len(each.raw) for each in segments[:number])
    header = before + len(segment.raw) - len(segment.content) + len(EXIF_NAME)
    return reaches_out(segment.content[len(EXIF_NAME) :], header, jpeg)


def _resized(index: _Segment, jpeg: bytes, moved: int) -> bytes:
    """The segment with the size of the first picture `moved` bytes larger."""
    found = size_of_first_picture(index.content[len(MULTI_PICTURE_NAME) :], jpeg)
    if found is None:
        return index.raw
    place, form = found
    raw = bytearray(index.raw)
    place += len(raw) - len(index.content) + len(MULTI_PICTURE_NAME)
    struct.pack_into(form, raw, place, struct.unpack_from(form, raw, place)[0] + moved)
    return bytes(raw)


def _without_size(index: _Segment, jpeg: bytes) -> bytes:
    found = size_of_first_picture(index.content[len(MULTI_PICTURE_NAME) :], jpeg)
    if found is None:
        return index.raw
    place = found[0] + len(index.raw) - len(index.content) + len(MULTI_PICTURE_NAME)
    return index.raw[:place] + bytes(4) + index.raw[place + 4 :]


def _place(segments: list[_Segment]) -> int:
    """Behind the JFIF segment (APP0) and EXIF, if they come first."""
    place = 0
    while place < len(segments) and (
        segments[place].code == _APP0
        or (segments[place].code == _APP1 and segments[place].content.startswith(EXIF_NAME))
    ):
        place += 1
    return place


def _split(jpeg: bytes) -> tuple[list[_Segment], bytes]:
    """The segments between SOI and the first scan, and all from that scan's marker on."""
    if jpeg[:2] != bytes((0xFF, _SOI)):
        raise _broken()
    segments: list[_Segment] = []
    at = 2
    while True:
        start = at
        if jpeg[at : at + 1] != b"\xff":
            raise _broken()
        while jpeg[at : at + 1] == b"\xff":  # any number of fill bytes
            at += 1
        if at >= len(jpeg):
            raise _broken()
        code = jpeg[at]
        if code == _SOS:
            return segments, jpeg[start:]
        length = int.from_bytes(jpeg[at + 1 : at + 3], "big")
        end = at + 1 + length
        if code in (0x00, 0x01, _EOI) or 0xD0 <= code <= _SOI or length < 2 or end > len(jpeg):
            raise _broken()
        segments.append(_Segment(code, jpeg[start:end], jpeg[at + 3 : end]))
        at = end


def _broken() -> UnsafeSidecar:
    return UnsafeSidecar("Its segments are not those of a sound JPEG", cure=USE_SIDECARS)
