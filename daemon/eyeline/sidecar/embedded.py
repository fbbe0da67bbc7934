"""XMP inside a JPEG, read and replaced as if it were a file of its own.

The JPEG is written anew beside itself, read back and compared byte by byte with the original apart from
the packet's segment, and only then exchanged with it in one step (`replacing`).
"""

from __future__ import annotations

from pathlib import Path

from eyeline.errors import UnsafeSidecar
from eyeline.sidecar import replacing
from eyeline.sidecar.meaning import parse
from eyeline.sidecar.packet import apart_from_packet, packet_in, with_packet
from eyeline.sidecar.present import present
from eyeline.sidecar.replacing import Interrupted, working_copy
from eyeline.sidecar.written import recorded

LARGEST_JPEG_BYTES = 512 * 1024 * 1024
"""A larger file is refused: 300 million pixels at the highest quality have about half of it."""


def read_packet(jpeg: Path) -> bytes | None:
    """The packet in `jpeg`, None without one. Raises UnsafeSidecar, OSError, Interrupted if it is gone."""
    return _packet(_content(jpeg), jpeg)


def put_packet(jpeg: Path, packet: bytes | None, before: bytes | None) -> None:
    """Make `packet` (None: none at all) that of `jpeg`, whose packet was `before`.

    Raises Interrupted when another program wrote meanwhile; UnsafeSidecar when it cannot be done without
    touching more than the packet. The JPEG is then as it was.
    """
    content = _content(jpeg)
    if _packet(content, jpeg) != before:
        raise Interrupted
    try:
        edited = with_packet(content, packet)
    except UnsafeSidecar as error:
        raise UnsafeSidecar(error.what, jpeg, error.cure) from error
    with working_copy(jpeg, edited) as copy:
        written = copy.read_bytes()
        if apart_from_packet(written) != apart_from_packet(content) or packet_in(written) != packet:
            raise UnsafeSidecar("A copy of it differs in more than its XMP", jpeg, "Check the disk")
        replacing.put_in_place(copy, jpeg, content)


def rating_is_ours(jpeg: bytes) -> bool:
    """Whether the rating inside is the one that eyeline wrote there, by the record beside it."""
    try:
        packet = packet_in(jpeg)
        there = present(parse(packet, Path())) if packet is not None else None
    except UnsafeSidecar:
        return False
    record = recorded(there.events) if there is not None else None
    return there is not None and record is not None and there.rating == record.rating


def _content(jpeg: Path) -> bytes:
    content = replacing.read_whole(jpeg, LARGEST_JPEG_BYTES)
    if content is None:
        raise Interrupted
    return content


def _packet(content: bytes, jpeg: Path) -> bytes | None:
    try:
        return packet_in(content)
    except UnsafeSidecar as error:
        raise UnsafeSidecar(error.what, jpeg, error.cure) from error
