"""Pixels of any mode and profile to 8-bit sRGB."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from eyeline.reading.stream import MOST_PIXELS, Stored

# One limit for all kinds, in place of Pillow's own: it refuses from twice this number on.
Image.MAX_IMAGE_PIXELS = MOST_PIXELS // 2

EIGHT_BITS_OF_SIXTEEN = 257
"""65535 / 255: a 16-bit value over it is the 8-bit value of the same brightness."""

_SIXTEEN_BIT_GREY = ("I;16", "I;16L", "I;16B", "I;16N")


def stored(picture: Image.Image, profile: bytes | None) -> Stored:
    """`picture` as stored where it is RGB, whose `profile` serves for any part of it; else all in sRGB."""
    if picture.mode == "RGB" and not picture.has_transparency_data:
        return stored_rgb(np.asarray(picture), profile)
    return Stored(to_srgb(picture, profile))


def stored_rgb(pixels: NDArray[np.uint8], profile: bytes | None) -> Stored:
    """RGB `pixels` (M, N, 3) with their ICC `profile`, if that is usable and says other than sRGB."""
    source = _foreign_profile(profile, "RGB")
    if source is None:
        return Stored(pixels)
    try:
        transform = ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), "RGB", "RGB")
    except (ImageCms.PyCMSError, OSError):
        return Stored(pixels)

    def part_to_srgb(part: NDArray[np.uint8]) -> NDArray[np.uint8]:
        return np.asarray(ImageCms.applyTransform(Image.fromarray(part), transform))

    return Stored(pixels, part_to_srgb)


def to_srgb(picture: Image.Image, profile: bytes | None) -> NDArray[np.uint8]:
    """`picture` in sRGB, (M, N, 3): relative colorimetric by its ICC `profile`, if that is usable.

    Grey becomes RGB; CMYK and Lab without a usable profile take Pillow's plain conversion. What is
    transparent shows white, as on paper.
    """
    if picture.mode in _SIXTEEN_BIT_GREY or picture.mode == "I":
        grey = np.asarray(picture).astype(np.float32) / EIGHT_BITS_OF_SIXTEEN
        picture = Image.fromarray(np.clip(np.rint(grey), 0, 255).astype(np.uint8))
    if picture.mode == "P" or picture.has_transparency_data:
        picture = _on_white(picture.convert("RGBA"))
    source = _foreign_profile(profile, picture.mode)
    if source is not None:
        try:
            converted = ImageCms.profileToProfile(
                picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError):
            converted = None  # an unusable profile: the plain conversion below is the best there is
        if converted is not None:
            return np.asarray(converted)
    return np.asarray(picture if picture.mode == "RGB" else picture.convert("RGB"))


def _on_white(picture: Image.Image) -> Image.Image:
    return Image.alpha_composite(Image.new("RGBA", picture.size, "white"), picture).convert("RGB")


def _foreign_profile(profile: bytes | None, mode: str) -> ImageCms.ImageCmsProfile | None:
    """The profile, if it is usable for `mode` and says other than sRGB."""
    if not profile:
        return None
    try:
        parsed = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        description = ImageCms.getProfileDescription(parsed)
    except (ImageCms.PyCMSError, OSError):
        return None
    space = parsed.profile.xcolor_space.strip()
    expected = {"L": "GRAY", "LAB": "Lab"}.get(mode, mode)
    if space != expected or (mode == "RGB" and "srgb" in description.lower()):
        return None
    return parsed
