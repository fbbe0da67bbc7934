"""What the photographer's files are to be: kind, colour, size on disk, names, metadata."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """The kind of file. PNG and TIFF lose nothing and may hold 16 bits."""

    JPEG = "jpeg"
    PNG = "png"
    TIFF = "tiff"
    WEBP = "webp"
    AVIF = "avif"

    @property
    def ending(self) -> str:
        """Of a file's name."""
        return {"jpeg": ".jpg", "tiff": ".tif"}.get(self.value, f".{self.value}")

    @property
    def loses_nothing(self) -> bool:
        """Whether there is no quality to choose."""
        return self in (Kind.PNG, Kind.TIFF)

    @property
    def tells_resolution(self) -> bool:
        """Whether the file itself has a place for pixels per inch: JFIF, pHYs, XResolution."""
        return self in (Kind.JPEG, Kind.PNG, Kind.TIFF)


class Intent(StrEnum):
    """Rendering intents of ICC.1; relative colorimetric goes with black point compensation (ISO 18619)."""

    RELATIVE = "relative"
    PERCEPTUAL = "perceptual"
    SATURATION = "saturation"
    ABSOLUTE = "absolute"


ENDINGS = {
    ".jpg": Kind.JPEG,
    ".jpeg": Kind.JPEG,
    ".png": Kind.PNG,
    ".tif": Kind.TIFF,
    ".tiff": Kind.TIFF,
    ".webp": Kind.WEBP,
    ".avif": Kind.AVIF,
}

QUALITY = 90
"""Of 100: JPEG keeps colour at full resolution from here on (libjpeg's usual choice of sampling)."""

LEAST_QUALITY = 40
"""Below this blocks show in skin (common practice): a file that would need it is told, not made."""

PIXELS_PER_INCH = 300.0
"""What printers ask for (common practice)."""

NAME = "{sitter}_{line}_{size}_{frame}"


@dataclass(frozen=True, slots=True)
class Specification:
    """`profile`: "sRGB", "Display P3", or the path of an ICC profile. `most_kilobytes`: 1000 bytes each, so
    that it holds for whoever counts 1024 as well. `enlarge`: whether a crop with fewer pixels than the size
    may be scaled up. `bits`: 8, or 16 for PNG and TIFF. `name`: a template, see `names`.
    `creator`, `rights`, `contact`, `caption`: metadata, the caption a template too.
    """

    kind: Kind = Kind.JPEG
    quality: int = QUALITY
    most_kilobytes: int | None = None
    profile: str = "sRGB"
    intent: Intent = Intent.RELATIVE
    bits: int = 8
    pixels_per_inch: float = PIXELS_PER_INCH
    enlarge: bool = False
    name: str = NAME
    creator: str = ""
    rights: str = ""
    contact: str = ""
    caption: str = ""
