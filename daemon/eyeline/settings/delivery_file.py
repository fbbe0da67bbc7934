"""`delivery.toml`, beside the configuration or named at the command: how delivered files are to be."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from eyeline.delivery.names import mistakes
from eyeline.delivery.specification import (
    LEAST_QUALITY,
    NAME,
    PIXELS_PER_INCH,
    QUALITY,
    Intent,
    Kind,
    Specification,
)
from eyeline.errors import BadConfiguration
from eyeline.settings.configuration import configuration_path
from eyeline.settings.grammar import OneLine
from eyeline.toml_files.file import read_file, refuse_mistakes
from eyeline.toml_files.grammar import Default, between, one_of, stated, whole_between

FILE_NAME = "delivery.toml"

MOST_KILOBYTES = 1_000_000
MOST_PIXELS_PER_INCH = 10_000.0


@dataclass(frozen=True, slots=True)
class DeliveryTable:
    """How delivered files are to be."""

    format: Annotated[
        Annotated[
            Literal["jpeg", "png", "tiff", "webp", "avif"], one_of("jpeg", "png", "tiff", "webp", "avif")
        ]
        | None,
        "kind of file",
        Default('"jpeg"'),
    ] = None
    quality: Annotated[
        Annotated[int, whole_between(LEAST_QUALITY, 100)] | None,
        "quality of JPEG, WebP and AVIF",
        Default(f"{QUALITY}"),
    ] = None
    most_kilobytes: Annotated[
        Annotated[int, whole_between(1, MOST_KILOBYTES)] | None,
        "largest file, in 1000 bytes; the best quality that keeps within it is sought",
        Default("none"),
    ] = None
    profile: Annotated[
        OneLine | None, '"sRGB", "Display P3", or the path of an ICC profile', Default('"sRGB"')
    ] = None
    intent: Annotated[
        Annotated[
            Literal["relative", "perceptual", "saturation", "absolute"],
            one_of("relative", "perceptual", "saturation", "absolute"),
        ]
        | None,
        "rendering intent; relative colorimetric goes with black point compensation",
        Default('"relative"'),
    ] = None
    bits: Annotated[
        Annotated[int, whole_between(8, 16)] | None, "8, or 16 for PNG and TIFF", Default("8")
    ] = None
    pixels_per_inch: Annotated[
        Annotated[float, between(1, MOST_PIXELS_PER_INCH)] | None,
        "resolution that JPEG, PNG and TIFF tell",
        Default(f"{PIXELS_PER_INCH:g}"),
    ] = None
    enlarge: Annotated[
        bool | None, "whether a crop with too few pixels may be scaled up", Default("false")
    ] = None
    name: Annotated[
        OneLine | None,
        "name of a file, of {sitter}, {line}, {format}, {size}, {frame}, {number}, {folder}; / makes folders",
        Default(f'"{NAME}"'),
    ] = None
    creator: Annotated[OneLine | None, "metadata: who made the picture", Default("none")] = None
    rights: Annotated[OneLine | None, "metadata: the copyright notice", Default("none")] = None
    contact: Annotated[
        OneLine | None, "metadata: mail address, web address, telephone, parted by commas", Default("none")
    ] = None
    caption: Annotated[
        OneLine | None, "metadata: the description, with the fields of `name`", Default("none")
    ] = None


def specification_in(path: Path | None) -> Specification:
    """What the file at `path` says, else the one beside the configuration, else the defaults.

    Raises BadConfiguration with every mistake and its line.
    """
    usual = configuration_path().with_name(FILE_NAME)
    try:
        file = read_file(path or usual, DeliveryTable)
    except FileNotFoundError as error:
        if path is not None:
            raise BadConfiguration(
                "there is no such file", path, "Name a delivery.toml that exists"
            ) from error
        return Specification()
    table: dict[str, Any] = stated(file.table)
    kind = Kind(table.pop("format", Kind.JPEG))
    found = Specification(kind=kind, **(table | {"intent": Intent(table.get("intent", Intent.RELATIVE))}))
    for mistake in mistakes(found.name, kind):
        file.wrong(("name",), mistake)
    if found.bits not in (8, 16) or (found.bits == 16 and not kind.loses_nothing):
        file.wrong(("bits",), f"{kind.value} has 8 bits, PNG and TIFF 8 or 16")
    refuse_mistakes(path or usual, file.mistakes, "Mend what is named")
    return found
