"""ICC profiles: what a picture says it is in, and what it is to be in."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

from PIL import ImageCms

from eyeline.errors import BadConfiguration
from eyeline.rendering.libvips import pyvips

BUILT_IN = {"sRGB": "srgb", "Display P3": "p3"}
"""Profiles that libvips brings along, by the names that photographers use."""

LARGEST_PROFILE_BYTES = 20_000_000


@cache
def target_profile(name: str) -> bytes:
    """The bytes of the profile called `name`, or in the file of that path.

    Raises BadConfiguration where it is no profile for an RGB picture.
    """
    if name in BUILT_IN:
        return bytes(pyvips.Image.profile_load(BUILT_IN[name]))
    path = Path(name).expanduser()
    try:
        content = path.read_bytes() if path.stat().st_size <= LARGEST_PROFILE_BYTES else b""
    except OSError as error:
        what = f"the profile cannot be read ({error.strerror})"
        raise BadConfiguration(what, path, f"Name a file, or one of: {', '.join(BUILT_IN)}") from error
    if _space(content) != "RGB":
        raise BadConfiguration("this is no ICC profile of an RGB space", path, "Name another")
    return content


def description(profile: bytes | None) -> str | None:
    """What a profile calls itself; None where there is none or it cannot be read."""
    if not profile:
        return None
    try:
        return ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(profile))).strip()
    except (ImageCms.PyCMSError, OSError):
        return None


def is_srgb(profile: bytes | None) -> bool:
    """Whether pixels with this profile are sRGB: untagged ones are taken for it, as everywhere in eyeline."""
    return profile is None or "srgb" in (description(profile) or "").lower()


def is_usable(profile: bytes | None, mode: str) -> bool:
    """Whether `profile` is one of pixels of `mode` ("RGB", "CMYK", "GRAY")."""
    return _space(profile or b"") == mode


def _space(profile: bytes) -> str | None:
    try:
        return str(ImageCms.ImageCmsProfile(io.BytesIO(profile)).profile.xcolor_space.strip())
    except (ImageCms.PyCMSError, OSError, SyntaxError):
        return None
