"""A small DNG from pixels: a Bayer mosaic of linear light, with or without a JPEG preview in it.

By the DNG Specification 1.4 (chapter 4) on top of TIFF 6.0: little-endian, one strip an image.
"""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import NDArray

BYTE, ASCII, SHORT, LONG, RATIONAL, SRATIONAL = 1, 2, 3, 4, 5, 10
SIZES = {BYTE: 1, ASCII: 1, SHORT: 2, LONG: 4, RATIONAL: 8, SRATIONAL: 8}

WHITE = 65535

XYZ_TO_SRGB = (32406, -15372, -4986, -9689, 18758, 415, 557, -2040, 10570)
"""IEC 61966-2-1, times 10,000: a camera whose sensor sees exactly sRGB's primaries."""

Tag = tuple[int, int, "list[int] | bytes"]


def dng(
    rgb: NDArray[np.uint8],
    preview: bytes | None = None,
    preview_size: tuple[int, int] = (0, 0),
    orientation: int = 1,
) -> bytes:
    """`rgb`: the picture as stored, sRGB (M, N, 3). `preview`: a JPEG of `preview_size` (width, height)."""
    height, width = rgb.shape[:2]
    mosaic = _mosaic(rgb)
    main: list[Tag] = [
        (254, LONG, [0]),
        (256, LONG, [width]),
        (257, LONG, [height]),
        (258, SHORT, [16]),
        (259, SHORT, [1]),
        (262, SHORT, [32803]),
        (271, ASCII, b"Drawn\0"),
        (272, ASCII, b"Mosaic\0"),
        (273, LONG, [0]),  # filled in below
        (274, SHORT, [orientation]),
        (277, SHORT, [1]),
        (278, LONG, [height]),
        (279, LONG, [len(mosaic)]),
        (33421, SHORT, [2, 2]),
        (33422, BYTE, [0, 1, 1, 2]),
        (50706, BYTE, [1, 4, 0, 0]),
        (50708, ASCII, b"Drawn Mosaic\0"),
        (50717, LONG, [WHITE]),
        (50721, SRATIONAL, [part for entry in XYZ_TO_SRGB for part in (entry, 10000)]),
        (50728, RATIONAL, [1, 1, 1, 1, 1, 1]),
        (50778, SHORT, [21]),
    ]
    if preview is None:
        start = 8 + _length(main)
        return _header() + _directory(main, 8, start) + mosaic
    main.append((330, LONG, [0]))
    main.sort()
    small: list[Tag] = [
        (254, LONG, [1]),
        (256, LONG, [preview_size[0]]),
        (257, LONG, [preview_size[1]]),
        (258, SHORT, [8, 8, 8]),
        (259, SHORT, [7]),
        (262, SHORT, [6]),
        (273, LONG, [0]),
        (277, SHORT, [3]),
        (278, LONG, [preview_size[1]]),
        (279, LONG, [len(preview)]),
    ]
    second = 8 + _length(main)
    mosaic_at = second + _length(small)
    preview_at = mosaic_at + len(mosaic)
    return (
        _header()
        + _directory(main, 8, mosaic_at, second)
        + _directory(small, second, preview_at)
        + mosaic
        + preview
    )


def _mosaic(rgb: NDArray[np.uint8]) -> bytes:
    """Every pixel's own colour of the pattern red green / green blue, as linear light of 16 bits."""
    encoded = rgb / 255
    linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
    values = np.rint(linear * WHITE).astype("<u2")
    mosaic = values[..., 1].copy()
    mosaic[0::2, 0::2] = values[0::2, 0::2, 0]
    mosaic[1::2, 1::2] = values[1::2, 1::2, 2]
    return mosaic.tobytes()


def _header() -> bytes:
    return b"II*\0" + struct.pack("<I", 8)


def _value(kind: int, value: list[int] | bytes) -> bytes:
    if isinstance(value, bytes):
        return value
    form = {BYTE: "B", SHORT: "H", LONG: "I", RATIONAL: "I", SRATIONAL: "i"}[kind]
    return struct.pack(f"<{len(value)}{form}", *value)


def _length(tags: list[Tag]) -> int:
    outside = sum(len(raw) + len(raw) % 2 for _, kind, value in tags if len(raw := _value(kind, value)) > 4)
    return 2 + 12 * len(tags) + 4 + outside


def _directory(tags: list[Tag], at: int, strip_at: int, sub_at: int = 0) -> bytes:
    outside_at = at + 2 + 12 * len(tags) + 4
    entries, outside = b"", b""
    for tag, kind, value in tags:
        filled = {273: [strip_at], 330: [sub_at]}.get(tag, value)
        raw = _value(kind, filled)
        entries += struct.pack("<HHI", tag, kind, len(raw) // SIZES[kind])
        if len(raw) <= 4:
            entries += raw.ljust(4, b"\0")
        else:
            entries += struct.pack("<I", outside_at + len(outside))
            outside += raw + b"\0" * (len(raw) % 2)
    return struct.pack("<H", len(tags)) + entries + b"\0\0\0\0" + outside
