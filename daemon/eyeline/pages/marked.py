"""Pictures for somebody else: of a size, with words across that stay when the picture is saved."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
import simplejpeg
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from eyeline.ledger.records import Photo
from eyeline.terms.points import Points

FONT = Path(__file__).parent / "static" / "fonts" / "texgyreheros-bold.otf"

WIDTH = 0.7
"""Share of the picture's width that the words take, as far as `MOST_HEIGHT` allows."""

MOST_HEIGHT = 0.12
"""Share of the picture's height that they take at most: a short word stays a word, not a wall."""

LEAST_LETTERS_PX = 6
"""Height below which letters are a smear."""

BELOW_CHIN = 0.75
"""How far below the chin their middle lies, in distances from eyes to chin: on the chest, so that the face is
seen and a crop that leaves them out is a close one."""

PLACE = 0.72
LOWEST = 0.92
"""Fractions of the height: where they lie without a sitter, and at most, so that they are whole."""

INK, INK_ALPHA = 255, 150 / 255
EDGE, EDGE_ALPHA = 0, 90 / 255
"""Light letters with a dark edge show on any picture and let it be seen: grey levels, and what share of the
picture they cover."""

QUALITY = 85
"""Of JPEG: a proof is to be looked at, not kept."""

ALMOST = 0.8
"""A picture that is larger by less than a fourth stays as it is: nobody sees that, a reduction softens."""

SIZES_KEPT = 16
"""Lettered words that are kept: one a size of picture, of which a shoot has two."""


def marked(photo: Photo, jpeg: bytes, longest_px: int, words: str) -> bytes:
    """The small version `jpeg` of `photo` with a long side of about `longest_px` at most, and `words` across
    the sitter's chest, as JPEG without metadata. Threads may call it at once."""
    rgb = simplejpeg.decode_jpeg(jpeg)
    scale = longest_px / max(rgb.shape[:2])
    if scale < ALMOST:
        size = (max(1, round(rgb.shape[1] * scale)), max(1, round(rgb.shape[0] * scale)))
        rgb = cv2.resize(rgb, size, interpolation=cv2.INTER_AREA)
    if words:
        _write(rgb, words, photo.points)
    return bytes(simplejpeg.encode_jpeg(np.ascontiguousarray(rgb), QUALITY, "RGB", "420", fastdct=True))


def _write(rgb: NDArray[np.uint8], words: str, points: Points | None) -> None:
    """Blend `words` into `rgb`."""
    height, width = rgb.shape[:2]
    keeps, adds = _lettered(words, width, height)
    high, wide = keeps.shape[:2]
    half = min(0.5, wide / width / 2)
    x, y = 0.5, PLACE
    if points is not None:
        x, y = points.eye_x, points.chin[1] + BELOW_CHIN * (points.chin[1] - points.eye_y)
    left = round(min(1 - half, max(half, x)) * width - wide / 2)
    top = round(min(LOWEST, max(0.0, y)) * height - high / 2)
    rows, columns = _within(top, high, height), _within(left, wide, width)
    inside = np.s_[rows[0] - top : rows[1] - top, columns[0] - left : columns[1] - left]
    box = rgb[rows[0] : rows[1], columns[0] : columns[1]]
    box[:] = np.rint(box * keeps[inside] + adds[inside])


def _within(start: int, length: int, most: int) -> tuple[int, int]:
    return max(0, start), max(0, min(most, start + length))


@lru_cache(SIZES_KEPT)
def _lettered(words: str, width: int, height: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """`words` for pictures of one size: how much of a pixel stays, and what is added to it, (M, N, 1)."""
    size = max(LEAST_LETTERS_PX, round(height * MOST_HEIGHT))
    font = ImageFont.truetype(str(FONT), size)
    length = font.getlength(words)
    if length > WIDTH * width:
        font = ImageFont.truetype(str(FONT), max(LEAST_LETTERS_PX, int(size * WIDTH * width / length)))
    stroke = max(1, int(font.size) // 24)
    left, top, right, bottom = font.getbbox(words, stroke_width=stroke, anchor="mm")
    at = (-left, -top)
    edge, ink = (Image.new("L", (round(right - left), round(bottom - top))) for _ in range(2))
    ImageDraw.Draw(edge).text(at, words, font=font, fill=255, stroke_width=stroke, anchor="mm")
    ImageDraw.Draw(ink).text(at, words, font=font, fill=255, anchor="mm")
    edges = np.asarray(edge, np.float64)[:, :, None] / 255 * EDGE_ALPHA
    inks = np.asarray(ink, np.float64)[:, :, None] / 255 * INK_ALPHA
    return (1 - edges) * (1 - inks), EDGE * edges * (1 - inks) + INK * inks
