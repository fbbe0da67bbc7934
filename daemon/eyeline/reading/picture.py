"""From the bytes of a JPEG to upright sRGB pixels, decoded once."""

from __future__ import annotations

import io

import cv2
import numpy as np
import simplejpeg
from numpy.typing import NDArray
from PIL import Image, ImageCms

from eyeline.errors import UnreadablePhoto
from eyeline.terms.frame import Picture

REDUCED_LONG_SIDE_PX = 1024
"""Long side of the picture that models look at: the face detector resizes to 192 px and the
silhouette to 256 px, and a head of 20 % of the frame still has 200 px here."""

MOST_PIXELS = 300_000_000
"""Largest picture that is decoded, in pixels: 900 MB of RGB. Medium-format backs end at 150 million."""

SMALLEST_SIDE_PX = 64
"""Below this side no face can be measured: the face mesh looks at 192 × 192 px."""

_TO_UPRIGHT = {
    2: (None, 1),
    3: (cv2.ROTATE_180, None),
    4: (None, 0),
    5: (cv2.ROTATE_90_COUNTERCLOCKWISE, 0),
    6: (cv2.ROTATE_90_CLOCKWISE, None),
    7: (cv2.ROTATE_90_CLOCKWISE, 1),
    8: (cv2.ROTATE_90_COUNTERCLOCKWISE, None),
}
"""EXIF Orientation (CIPA DC-008, tag 0x0112): the turn, then the flip (OpenCV's code), to upright."""


def upright(stored: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """Turn pixels as stored, (M, N, 3) or (M, N), upright by EXIF `orientation` 1 to 8."""
    if orientation not in _TO_UPRIGHT:
        return stored
    turn, flip = _TO_UPRIGHT[orientation]
    turned = stored if turn is None else cv2.rotate(stored, turn)
    return np.asarray(turned if flip is None else cv2.flip(turned, flip))


def stored_size(data: bytes) -> tuple[int, int]:
    """Width and height in pixels as stored, from the header alone.

    Raises
    ------
    UnreadablePhoto
        When `data` is no JPEG, is too small to hold a portrait, or larger than `MOST_PIXELS`.
    """
    try:
        height, width, _colour, _subsampling = simplejpeg.decode_jpeg_header(data, strict=False)
    except ValueError as error:
        raise UnreadablePhoto(
            f"this is no readable JPEG ({error})", cure="Copy it from the card again, or remove it"
        ) from error
    if min(width, height) < SMALLEST_SIDE_PX:
        raise UnreadablePhoto(
            f"{width} × {height} pixels are too few to measure a portrait",
            cure=f"Give a photo with at least {SMALLEST_SIDE_PX} pixels on its short side",
        )
    if width * height > MOST_PIXELS:
        raise UnreadablePhoto(
            f"{width} × {height} pixels are more than eyeline decodes ({MOST_PIXELS:,})",
            cure="Save it smaller, or leave it out of the watched folder",
        )
    return width, height


def read_picture(data: bytes, orientation: int) -> Picture:
    """Decode a JPEG to upright sRGB.

    An embedded ICC profile other than sRGB is converted (relative colorimetric); grey becomes RGB.

    Raises
    ------
    UnreadablePhoto
        When the image data ends early or is corrupt: the decoder is strict, so a copy under way or
        a file preallocated at full size does not pass for a whole photo.
    """
    stored_size(data)
    try:
        with Image.open(io.BytesIO(data)) as header:
            mode, profile = header.mode, header.info.get("icc_profile")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        mode, profile = "RGB", None
    try:
        if mode == "CMYK":
            pixels = _from_cmyk(data, profile)
        else:
            pixels = simplejpeg.decode_jpeg(data, colorspace="RGB", strict=True)
            pixels = _to_srgb(pixels, profile)
    except (ValueError, OSError) as error:
        raise UnreadablePhoto(
            f"the picture in it is damaged or not complete ({error})",
            cure="Copy it from the card again",
        ) from error
    rgb = np.ascontiguousarray(upright(pixels, orientation))
    return Picture(rgb=rgb, reduced=reduced(rgb))


def reduced(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """`rgb` (M, N, 3) with its long side brought down to `REDUCED_LONG_SIDE_PX`; never enlarged."""
    scale = REDUCED_LONG_SIDE_PX / max(rgb.shape[:2])
    if scale >= 1:
        return rgb
    size = (max(1, round(rgb.shape[1] * scale)), max(1, round(rgb.shape[0] * scale)))
    return np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA))


def _to_srgb(pixels: NDArray[np.uint8], profile: bytes | None) -> NDArray[np.uint8]:
    source = _foreign_profile(profile)
    if source is None:
        return pixels
    try:
        converted = ImageCms.profileToProfile(
            Image.fromarray(pixels), source, ImageCms.createProfile("sRGB"), outputMode="RGB"
        )
    except ImageCms.PyCMSError:
        return pixels
    return np.asarray(converted)


def _from_cmyk(data: bytes, profile: bytes | None) -> NDArray[np.uint8]:
    with Image.open(io.BytesIO(data)) as picture:
        if profile:
            try:
                converted = ImageCms.profileToProfile(
                    picture,
                    ImageCms.ImageCmsProfile(io.BytesIO(profile)),
                    ImageCms.createProfile("sRGB"),
                    outputMode="RGB",
                )
                if converted is not None:
                    return np.asarray(converted)
            except (ImageCms.PyCMSError, OSError):
                pass  # an unusable profile: the plain conversion below is the best there is
        return np.asarray(picture.convert("RGB"))


def _foreign_profile(profile: bytes | None) -> ImageCms.ImageCmsProfile | None:
    """The profile, if it is usable RGB and other than sRGB."""
    if not profile:
        return None
    try:
        parsed = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        description = ImageCms.getProfileDescription(parsed)
    except (ImageCms.PyCMSError, OSError):
        return None
    if "srgb" in description.lower() or parsed.profile.xcolor_space.strip() != "RGB":
        return None
    return parsed
