"""What a finished file says of itself, read back from its bytes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from eyeline.delivery.specification import Kind, Specification
from eyeline.errors import UnreadablePhoto
from eyeline.rendering.encode import BYTES_A_KILOBYTE, MM_PER_INCH
from eyeline.rendering.libvips import pyvips
from eyeline.rendering.profile import description

_LOADERS = {
    "jpegload": Kind.JPEG,
    "pngload": Kind.PNG,
    "tiffload": Kind.TIFF,
    "webpload": Kind.WEBP,
    "heifload": Kind.AVIF,
}

RESOLUTION_TOLERANCE = 0.01
"""Relative: PNG and JFIF keep whole pixels a metre or an inch."""


@dataclass(frozen=True, slots=True)
class FileFacts:
    """`bits`: a channel. `profile`: what the embedded one calls itself. `pixels_per_inch`: None where the
    kind has no place for it. `metadata`: what else is in the file, by libvips' names."""

    kind: Kind | None
    width: int
    height: int
    bits: int
    profile: str | None
    pixels_per_inch: float | None
    kilobytes: float
    metadata: tuple[str, ...]


def facts_of(content: bytes) -> FileFacts:
    """Read back what a file says. Raises pyvips.Error where it is none."""
    image = pyvips.Image.new_from_buffer(content, "", access="sequential", fail_on="truncated")
    loader = str(image.get("vips-loader")).removesuffix("_buffer")
    kind = _LOADERS.get(loader)
    profile = bytes(image.get("icc-profile-data")) if image.get_typeof("icc-profile-data") else None
    others = tuple(
        name for name in ("exif-data", "iptc-data", "xmp-data", "photoshop-data") if image.get_typeof(name)
    )
    image.avg()  # every pixel is decoded: a file that breaks off shows here
    return FileFacts(
        kind,
        image.width,
        image.height,
        16 if image.format == "ushort" else 8,
        description(profile),
        image.xres * MM_PER_INCH if kind is not None and kind.tells_resolution else None,
        len(content) / BYTES_A_KILOBYTE,
        others,
    )


def breaches(
    content: bytes, size: tuple[int, int], specification: Specification, profile: bytes
) -> list[str]:
    """What the file does not keep of what was asked for, a sentence each."""
    try:
        facts = facts_of(content)
    except pyvips.Error as error:
        return [f"it cannot be read back ({str(error).strip().splitlines()[-1]})"]
    found = []
    if facts.kind is not specification.kind:
        found.append(f"it is no {specification.kind.value}")
    if (facts.width, facts.height) != size:
        found.append(f"it has {facts.width} × {facts.height} px, not {size[0]} × {size[1]}")
    if facts.bits != specification.bits:
        found.append(f"it has {facts.bits} bits a channel, not {specification.bits}")
    if facts.profile != description(profile):
        found.append(f"its profile is {facts.profile}, not {description(profile)}")
    if facts.pixels_per_inch is not None and specification.kind.tells_resolution:
        wanted = specification.pixels_per_inch
        if abs(facts.pixels_per_inch - wanted) > wanted * RESOLUTION_TOLERANCE:
            found.append(f"it says {facts.pixels_per_inch:.0f} pixels per inch, not {wanted:.0f}")
    if specification.most_kilobytes is not None and facts.kilobytes > specification.most_kilobytes:
        found.append(f"it has {facts.kilobytes:.0f} kB, more than {specification.most_kilobytes}")
    if facts.metadata != ("xmp-data",):
        found.append(f"it carries {', '.join(facts.metadata) or 'no metadata'}")
    return found


def decoded(path: Path) -> NDArray[np.uint8]:
    """All pixels of a delivered file in sRGB, uint8 (M, N, 3). Raises UnreadablePhoto."""
    try:
        image = pyvips.Image.new_from_file(str(path), fail_on="truncated")
        if image.get_typeof("icc-profile-data"):
            image = image.icc_transform("srgb", embedded=True, intent="relative")
        image = image.colourspace("srgb").cast("uchar")
        return np.asarray(image.numpy())
    except (pyvips.Error, UnicodeEncodeError) as error:
        raise UnreadablePhoto("it cannot be read back", path, "Deliver it again") from error


def small_jpeg(path: Path, height: int) -> bytes | None:
    """A delivered file as a JPEG of `height` pixels, to look at; None where it cannot be read."""
    try:
        small = pyvips.Image.thumbnail(str(path), 10 * height, height=height, export_profile="srgb")
        return bytes(small.jpegsave_buffer(Q=80, keep=pyvips.enums.ForeignKeep.NONE))
    except (pyvips.Error, UnicodeEncodeError):
        return None
