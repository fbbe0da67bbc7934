"""Pictures for somebody else: of a size, with words across that stay when the picture is saved."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import simplejpeg
from PIL import Image, ImageDraw, ImageFont

from eyeline.ledger.records import Photo
from eyeline.terms.points import Points

FONT = Path(__file__).parent / "static" / "fonts" / "texgyreheros-bold.otf"

WIDTH = 0.7
"""Share of the picture's width that the words take, as far as `MOST_HEIGHT` allows."""

MOST_HEIGHT = 0.12
"""Share of the picture's height that they take at most: a short word stays a word, not a wall."""

BELOW_CHIN = 0.75
"""How far below the chin their middle lies, in distances from eyes to chin: on the chest, so that the face is
seen and a crop that leaves them out is a close one."""

PLACE = 0.72
LOWEST = 0.92
"""Fractions of the height: where they lie without a sitter, and at most, so that they are whole."""

INK = (255, 255, 255, 150)
EDGE = (0, 0, 0, 90)
"""Light letters with a dark edge show on any picture and let it be seen."""

QUALITY = 85

ALMOST = 0.8
"""A picture that is larger by less than a fourth stays as it is: nobody sees that, a reduction softens."""


def marked(photo: Photo, jpeg: bytes, longest_px: int, words: str) -> bytes:
    """The small version `jpeg` of `photo` with a long side of about `longest_px` at most, and `words` across
    the sitter's chest, as JPEG without metadata."""
    rgb = simplejpeg.decode_jpeg(jpeg)
    scale = longest_px / max(rgb.shape[:2])
    if scale < ALMOST:
        size = (max(1, round(rgb.shape[1] * scale)), max(1, round(rgb.shape[0] * scale)))
        rgb = cv2.resize(rgb, size, interpolation=cv2.INTER_AREA)
    if words:
        picture = Image.fromarray(rgb)
        _write(picture, words, photo.points)
        rgb = np.asarray(picture)
    return bytes(simplejpeg.encode_jpeg(np.ascontiguousarray(rgb), QUALITY, "RGB", "420", fastdct=True))


def _write(picture: Image.Image, words: str, points: Points | None) -> None:
    width, height = picture.size
    size = max(6, round(height * MOST_HEIGHT))
    font = ImageFont.truetype(str(FONT), size)
    length = font.getlength(words)
    if length > WIDTH * width:
        font = ImageFont.truetype(str(FONT), max(6, int(size * WIDTH * width / length)))
    half = min(0.5, font.getlength(words) / width / 2)
    x, y = 0.5, PLACE
    if points is not None:
        x, y = points.eye_x, points.chin[1] + BELOW_CHIN * (points.chin[1] - points.eye_y)
    place = (min(1 - half, max(half, x)) * width, min(LOWEST, max(0.0, y)) * height)
    draw = ImageDraw.Draw(picture, "RGBA")
    draw.text(
        place,
        words,
        font=font,
        fill=INK,
        stroke_width=max(1, font.size // 24),
        stroke_fill=EDGE,
        anchor="mm",
    )
