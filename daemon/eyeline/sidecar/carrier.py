"""What carries the XMP of a photo: a sidecar, or the JPEG itself; the rest of the room need not ask which."""

from __future__ import annotations

from pathlib import Path

from eyeline.sidecar import replacing
from eyeline.sidecar.embedded import put_packet, read_packet
from eyeline.sidecar.naming import is_sidecar
from eyeline.sidecar.packet import EMPTY_PACKET

SEED = (
    b"<?xml version='1.0' encoding='UTF-8'?>\n"
    b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>\n"
    b"<rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>\n"
    b"</rdf:RDF>\n"
    b"</x:xmpmeta>\n"
)
"""An empty sidecar. XMP Part 3 wants the XML declaration, which ExifTool keeps but does not write itself."""


def seed(carrier: Path) -> bytes:
    """XMP that says nothing, in the form that `carrier` holds."""
    return SEED if is_sidecar(carrier) else EMPTY_PACKET


def read_whole(carrier: Path) -> bytes | None:
    """The XMP in `carrier`, None where there is none. Raises UnsafeSidecar, OSError, Interrupted."""
    return replacing.read_whole(carrier) if is_sidecar(carrier) else read_packet(carrier)


def put_in_place(copy: Path, carrier: Path, before: bytes | None) -> None:
    """Make the content of `copy` the XMP of `carrier`, which was `before`.

    Raises Interrupted when it has changed meanwhile, UnsafeSidecar where it cannot be done without loss.
    """
    if is_sidecar(carrier):
        replacing.put_in_place(copy, carrier, before)
    else:
        put_packet(carrier, copy.read_bytes(), before)


def remove(carrier: Path, before: bytes) -> None:
    """Leave no XMP, which was `before`: the sidecar goes, the JPEG stays. Raises as `put_in_place`."""
    if is_sidecar(carrier):
        replacing.remove(carrier, before)
    else:
        put_packet(carrier, None, before)
