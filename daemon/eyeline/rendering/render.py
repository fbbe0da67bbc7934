"""A box of a photo as pixels of a size and in a profile. Nothing is written."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any

import numpy as np
from numpy.typing import NDArray

from eyeline.delivery.box import Box, stored_box
from eyeline.delivery.specification import Intent, Specification
from eyeline.errors import UnreadablePhoto
from eyeline.rendering.libvips import pyvips
from eyeline.rendering.profile import is_srgb, is_usable, target_profile

EDITION = 1
"""Rises with whatever makes other pixels of the same photo."""

TILE_PX = 64
_DITHER_SEED = 20_260_101
"""Any number: what counts is that a file made again is the same."""

LEVELS_16 = 257
"""A 16-bit value over it is the 8-bit value of the same brightness: 65535 / 255."""

_TURNS = {
    1: (),
    2: ("flip",),
    3: ("180",),
    4: ("180", "flip"),
    5: ("90", "flip"),
    6: ("90",),
    7: ("270", "flip"),
    8: ("270",),
}
"""What brings stored pixels upright, by EXIF orientation: quarter turns clockwise, then a mirror."""


@dataclass(frozen=True, slots=True)
class Source:
    """The pixels to cut from: a file, or sRGB pixels uint8 (M, N, 3) that were decoded elsewhere, upright.

    `width`, `height`: pixels, upright. `orientation`: EXIF 1 to 8, of the file's pixels as stored.
    """

    path: Path
    width: int
    height: int
    orientation: int = 1
    pixels: NDArray[np.uint8] | None = None


@dataclass(frozen=True, slots=True)
class Rendered:
    """`image`: a pyvips image in memory with no metadata, RGB, in `profile`. `was_16_bits`, `was_tagged`: of
    the source."""

    image: Any
    profile: bytes
    was_16_bits: bool
    was_tagged: bool


def rendered(source: Source, box: Box, size: tuple[int, int], specification: Specification) -> Rendered:
    """The `box` of `source`, upright pixels, at `size` (width, height).

    Raises UnreadablePhoto where the file is gone, damaged, or not of the size that it was, BadConfiguration
    for a profile that is none.
    """
    try:
        image = _opened(source)
        turned = stored_box(box, source.width, source.height, source.orientation)
        image = image.crop(turned.left, turned.top, turned.width, turned.height)
        image, profile, tagged = _rgb(image)
        was_16_bits = image.format == "ushort"
        image = _resized(image, _stored_size(size, source.orientation))
        image = _in_profile(image, profile, specification).copy_memory()
        image = _upright(image, source.orientation)
    except pyvips.Error as error:
        raise UnreadablePhoto(
            f"it cannot be rendered ({_in_words(error)})", source.path, "Look whether it opens elsewhere"
        ) from error
    return Rendered(image, target_profile(specification.profile), was_16_bits, tagged)


def _opened(source: Source) -> Any:
    if source.pixels is not None:
        return pyvips.Image.new_from_array(source.pixels).copy(interpretation="srgb")
    try:
        image = pyvips.Image.new_from_file(str(source.path), access="sequential", fail_on="truncated")
    except UnicodeEncodeError as error:
        what = "its name holds bytes that are no text, which libvips cannot open"
        raise UnreadablePhoto(what, source.path, "Rename it") from error
    swapped = source.orientation >= 5
    size = (image.height, image.width) if swapped else (image.width, image.height)
    if size != (source.width, source.height):
        raise UnreadablePhoto("it changed since it was measured", source.path, "Run eyeline run on it first")
    return image


def _rgb(image: Any) -> tuple[Any, bytes | None, bool]:
    """`image` as RGB of 8 or 16 bits without transparency; its profile (None: sRGB), whether it had one."""
    profile = bytes(image.get("icc-profile-data")) if image.get_typeof("icc-profile-data") else None
    tagged = profile is not None
    if image.hasalpha():
        image = image.flatten(background=[65535 if image.format == "ushort" else 255] * 3)
    mode = "CMYK" if image.interpretation == "cmyk" else "GRAY" if image.bands == 1 else "RGB"
    usable = is_usable(profile, mode)
    if mode == "CMYK":
        fallback: dict[str, Any] = {} if usable else {"input_profile": "cmyk"}
        image = image.icc_transform("srgb", embedded=usable, intent="relative", depth=16, **fallback)
        return image, None, tagged
    if mode == "GRAY":
        if usable:
            image = image.icc_transform("srgb", embedded=True, intent="relative", depth=16)
        else:
            image = image.colourspace("rgb16" if image.format == "ushort" else "srgb")
        return image, None, tagged
    if image.format not in ("uchar", "ushort"):
        image = image.colourspace("rgb16")
    return image, profile if usable else None, tagged and usable


def _resized(image: Any, size: tuple[int, int]) -> Any:
    across, down = size[0] / image.width, size[1] / image.height
    if (across, down) == (1.0, 1.0):
        return image
    scaled = image.resize(across, vscale=down, kernel="lanczos3")
    if (scaled.width, scaled.height) != size:
        scaled = scaled.gravity("centre", *size, extend="copy")
    return scaled


def _in_profile(image: Any, profile: bytes | None, specification: Specification) -> Any:
    """In the profile and with the bits that are asked for."""
    target = target_profile(specification.profile)
    if profile != target and not (is_srgb(profile) and is_srgb(target)):
        intent = specification.intent
        image = image.copy()
        image.set_type(pyvips.GValue.blob_type, "icc-profile-data", profile or target_profile("sRGB"))
        with _as_file(target) as path:
            image = image.icc_transform(
                path,
                embedded=True,
                intent=intent.value,
                black_point_compensation=intent is Intent.RELATIVE,
                depth=16,
            ).copy_memory()
    image = _without_metadata(image)
    if specification.bits == 16:
        return (
            image
            if image.format == "ushort"
            else (image * LEVELS_16).cast("ushort").copy(interpretation="rgb16")
        )
    return dithered(image) if image.format == "ushort" else image


def dithered(image: Any) -> Any:
    """16 bits to 8, each value by chance to the level above or below it, so that the mean stays: a gradient
    shows no steps. The chance is a fixed pattern."""
    noise = np.random.default_rng(_DITHER_SEED).random((TILE_PX, TILE_PX, 3), dtype=np.float32)
    tile = pyvips.Image.new_from_array(noise)
    across, down = -(-image.width // TILE_PX), -(-image.height // TILE_PX)
    pattern = tile.replicate(across, down).crop(0, 0, image.width, image.height)
    return (image / LEVELS_16 + pattern).floor().cast("uchar").copy(interpretation="srgb")


def _upright(image: Any, orientation: int) -> Any:
    for turn in _TURNS[orientation]:
        image = image.fliphor() if turn == "flip" else image.rot(f"d{turn}")
    return image.copy_memory() if _TURNS[orientation] else image


def _stored_size(size: tuple[int, int], orientation: int) -> tuple[int, int]:
    return (size[1], size[0]) if orientation >= 5 else size


def _without_metadata(image: Any) -> Any:
    """`image` with nothing of what its file said beside the pixels."""
    image = image.copy()
    for field in image.get_fields():
        if field not in _OF_THE_PIXELS:
            image.remove(field)
    return image


_OF_THE_PIXELS = frozenset(
    "width height bands format coding interpretation xoffset yoffset xres yres filename".split()
)


@contextmanager
def _as_file(content: bytes) -> Iterator[str]:
    """A profile as a file for as long as libvips needs one."""
    with NamedTemporaryFile(suffix=".icc") as file:
        file.write(content)
        file.flush()
        yield file.name


def _in_words(error: pyvips.Error) -> str:
    lines = [line.strip() for line in str(error).splitlines() if line.strip()]
    return lines[-1] if lines else "libvips gives no reason"
