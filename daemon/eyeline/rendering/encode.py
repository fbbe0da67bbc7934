"""Rendered pixels as the bytes of a file, no larger than asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from eyeline.delivery.specification import LEAST_QUALITY, Kind, Specification
from eyeline.errors import EyelineError
from eyeline.rendering.libvips import pyvips
from eyeline.rendering.render import Rendered

BYTES_A_KILOBYTE = 1000
MM_PER_INCH = 25.4

AVIF_EFFORT = 1
"""Of 9. Measured on a frame of the shoot: 4 takes eighteen times as long and saves 5 % of the bytes."""


@dataclass(frozen=True, slots=True)
class Encoded:
    """The bytes of a file. `quality`: None for a kind that loses nothing."""

    content: bytes
    quality: int | None


def encoded(picture: Rendered, specification: Specification, packet: str) -> Encoded:
    """The file: pixels, profile, resolution and the XMP `packet`, and nothing else.

    With `most_kilobytes` the best quality that keeps within it. Raises EyelineError where none does.
    """
    image = picture.image.copy(
        xres=specification.pixels_per_inch / MM_PER_INCH, yres=specification.pixels_per_inch / MM_PER_INCH
    )
    image.set_type(pyvips.GValue.blob_type, "icc-profile-data", picture.profile)
    image.set_type(pyvips.GValue.blob_type, "xmp-data", packet.encode("utf-8"))
    kind = specification.kind
    most = specification.most_kilobytes and specification.most_kilobytes * BYTES_A_KILOBYTE
    if kind.loses_nothing:
        content = _saved(image, kind, 0)
        if most and len(content) > most:
            raise EyelineError(
                f"it has {len(content) // BYTES_A_KILOBYTE} kB as {kind.value}, more than "
                f"{specification.most_kilobytes}",
                cure="Ask for JPEG, or for a smaller size",
            )
        return Encoded(content, None)
    best = _saved(image, kind, specification.quality)
    if not most or len(best) <= most:
        return Encoded(best, specification.quality)
    return _within(image, kind, specification.quality, most)


def with_jfif(content: bytes, pixels_per_inch: int) -> bytes:
    """A JPEG with the JFIF segment that tells its resolution (ISO/IEC 10918-5, 10.1), first of all as it has
    to be: libvips writes it only together with Exif. Raises ValueError where it has one."""
    if content[2:4] == b"\xff\xe0":
        raise ValueError("this JPEG has a JFIF segment")
    density = pixels_per_inch.to_bytes(2, "big")
    inch = b"\x01"
    segment = b"JFIF\x00\x01\x01" + inch + density + density + b"\x00\x00"
    return content[:2] + b"\xff\xe0" + (len(segment) + 2).to_bytes(2, "big") + segment + content[2:]


def _within(image: Any, kind: Kind, quality: int, most: int) -> Encoded:
    """The best quality below `quality` whose file has at most `most` bytes, by halving the interval."""
    low, high = min(LEAST_QUALITY, quality), quality
    found = Encoded(_saved(image, kind, low), low)
    if len(found.content) > most:
        raise EyelineError(
            f"even at quality {low} it has {len(found.content) // BYTES_A_KILOBYTE} kB, more than "
            f"{most // BYTES_A_KILOBYTE}",
            cure="Allow more, or ask for a smaller size",
        )
    while high - low > 1:
        middle = (low + high) // 2
        content = _saved(image, kind, middle)
        if len(content) <= most:
            low, found = middle, Encoded(content, middle)
        else:
            high = middle
    return found


def _saved(image: Any, kind: Kind, quality: int) -> bytes:
    keep = pyvips.enums.ForeignKeep.ICC | pyvips.enums.ForeignKeep.XMP
    match kind:
        case Kind.JPEG:
            content = bytes(image.jpegsave_buffer(Q=quality, optimize_coding=True, keep=keep))
            return with_jfif(content, round(image.xres * MM_PER_INCH))
        case Kind.PNG:
            return bytes(image.pngsave_buffer(compression=6, keep=keep))
        case Kind.TIFF:
            return bytes(
                image.tiffsave_buffer(
                    compression="deflate", predictor="horizontal", resunit="inch", keep=keep
                )
            )
        case Kind.WEBP:
            return bytes(image.webpsave_buffer(Q=quality, keep=keep))
        case Kind.AVIF:
            return bytes(image.heifsave_buffer(Q=quality, compression="av1", effort=AVIF_EFFORT, keep=keep))
