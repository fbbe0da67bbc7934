"""The pixels of a picture at full size, brought upright and to sRGB where they are looked at.

A portrait is looked at closely about the head alone. Turning 24 megapixels takes about as long as decoding
them, and converting them from another colour space seven times as long.
"""

from __future__ import annotations

from functools import cached_property
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.reading.stream import Stored
from eyeline.terms.frame import Pixels

TILE_PX = 256
"""Side of what is converted at a time: a call costs little beside it, and it is small beside a head."""

TRANSPOSED = frozenset({5, 6, 7, 8})
FLIPPED_ROWS = frozenset({3, 4, 7, 8})
FLIPPED_COLUMNS = frozenset({2, 3, 6, 7})
"""EXIF orientations (CIPA DC-008, tag 0x0112) by what brings stored pixels upright: rows and columns are
exchanged first, then the order of either is turned round."""


def full_size(stored: Stored, orientation: int) -> Pixels:
    """`stored` upright by EXIF `orientation`, in sRGB."""
    turned = upright(stored.pixels, orientation)
    if turned is stored.pixels and stored.to_srgb is None:
        return turned
    return _Converted(Stored(turned, stored.to_srgb))


def upright(stored: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """A view of pixels as stored, (M, N, 3) or (M, N), upright by EXIF `orientation` 1 to 8."""
    if orientation in TRANSPOSED:
        stored = stored.swapaxes(0, 1)
    if orientation in FLIPPED_ROWS:
        stored = stored[::-1]
    if orientation in FLIPPED_COLUMNS:
        stored = stored[:, ::-1]
    return stored


class AtOnce:
    """`Pixels` that are turned and converted as a whole, once, when they are first asked for.

    OpenCV exchanges and turns round rows and columns several times as fast as NumPy copies them in that
    order.
    """

    def __init__(self, stored: Stored, orientation: int) -> None:
        self._stored = stored
        self._orientation = orientation

    @property
    def shape(self) -> tuple[int, ...]:
        """(M, N, 3)."""
        return upright(self._stored.pixels, self._orientation).shape

    def __getitem__(self, window: Any, /) -> NDArray[np.uint8]:
        return np.asarray(self._whole[window])

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> NDArray[np.uint8]:
        return np.array(self._whole, dtype) if copy else np.asarray(self._whole, dtype)

    @cached_property
    def _whole(self) -> NDArray[np.uint8]:
        pixels = np.ascontiguousarray(self._stored.pixels)
        if self._orientation in TRANSPOSED:
            pixels = np.asarray(cv2.transpose(pixels), np.uint8)
        axes = [
            axis
            for axis, flipped in enumerate((FLIPPED_ROWS, FLIPPED_COLUMNS))
            if self._orientation in flipped
        ]
        if axes:
            pixels = np.asarray(cv2.flip(pixels, axes[0] if len(axes) == 1 else -1), np.uint8)
        return pixels if self._stored.to_srgb is None else self._stored.to_srgb(pixels)


class _Converted:
    """`Pixels` that are copied and converted tile by tile, each at most once."""

    def __init__(self, source: Stored) -> None:
        self._source = source
        self._pixels = np.empty(source.pixels.shape, np.uint8)
        rows, columns = (-(-side // TILE_PX) for side in source.pixels.shape[:2])
        self._is_done = np.zeros((rows, columns), bool)

    @property
    def shape(self) -> tuple[int, ...]:
        """(M, N, 3)."""
        return self._pixels.shape

    def __getitem__(self, window: Any, /) -> NDArray[np.uint8]:
        rows, columns, *_ = (*(window if isinstance(window, tuple) else (window,)), slice(None))
        top, bottom = _tiles(rows, self.shape[0])
        left, right = _tiles(columns, self.shape[1])
        for row, column in np.argwhere(~self._is_done[top:bottom, left:right]):
            self._convert(top + int(row), left + int(column))
        return np.asarray(self._pixels[window])

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> NDArray[np.uint8]:
        whole = self[:, :]
        return np.array(whole, dtype) if copy else np.asarray(whole, dtype)

    def _convert(self, row: int, column: int) -> None:
        y, x = row * TILE_PX, column * TILE_PX
        tile = np.ascontiguousarray(self._source.pixels[y : y + TILE_PX, x : x + TILE_PX])
        to_srgb = self._source.to_srgb
        self._pixels[y : y + TILE_PX, x : x + TILE_PX] = tile if to_srgb is None else to_srgb(tile)
        self._is_done[row, column] = True


def _tiles(index: int | slice, length: int) -> tuple[int, int]:
    """First tile and the one after the last that `index` touches along a side of `length` pixels."""
    touched = range(length)[index]
    if isinstance(touched, int):
        return touched // TILE_PX, touched // TILE_PX + 1
    if not touched:
        return 0, 0
    first, last = sorted((touched[0], touched[-1]))
    return first // TILE_PX, last // TILE_PX + 1
