"""Small versions as pictures: upright, sRGB, nothing but the picture inside, the eyes pixel for pixel."""

from __future__ import annotations

import io
from dataclasses import replace

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from eyeline.previews.drawing import LARGEST_EYES_PX, Kind, drawn, eyes_window
from eyeline.reading.picture import picture_of
from eyeline.reading.stream import Stored
from eyeline.terms.frame import Picture
from eyeline.terms.points import Points

POINTS = Points((0.4, 0.35), (0.6, 0.35), (0.5, 0.6), False, 0.1, False, None, 0.3, 0.7)


def opened(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg))


def scene(width: int, height: int) -> np.ndarray:
    """Red above, blue below, green at the left edge."""
    rgb = np.zeros((height, width, 3), np.uint8)
    rgb[: height // 2, :, 0] = 220
    rgb[height // 2 :, :, 2] = 220
    rgb[:, : width // 10] = (0, 200, 0)
    return rgb


class Stream:
    """Pixels as they lie in a file, with the orientation that brings them upright."""

    is_preview = False

    def __init__(self, upright: np.ndarray, orientation: int, to_srgb: object = None) -> None:
        turned = {1: upright, 6: cv2.rotate(upright, cv2.ROTATE_90_COUNTERCLOCKWISE)}[orientation]
        self.orientation = orientation
        self._stored = Stored(turned, to_srgb)  # type: ignore[arg-type]

    def decode(self) -> Stored:
        return self._stored


def picture(width: int, height: int, orientation: int = 1, to_srgb: object = None) -> Picture:
    return picture_of(Stream(scene(width, height), orientation, to_srgb))  # type: ignore[arg-type]


@pytest.mark.parametrize("orientation", [1, 6])
@pytest.mark.parametrize(
    ("size", "small", "large"),
    [
        ((4000, 6000), (341, 512), (1000, 1500)),
        ((5464, 8192), (341, 512), (1366, 2048)),
        ((1200, 1800), (341, 512), (1200, 1800)),
        ((300, 400), (300, 400), (300, 400)),
        ((3001, 4501), (341, 512), (1500, 2250)),
    ],
)
def test_they_are_upright_and_of_their_size(
    orientation: int, size: tuple[int, int], small: tuple[int, int], large: tuple[int, int]
) -> None:
    found = drawn(picture(*size, orientation), POINTS)
    for kind, wanted in ((Kind.SMALL, small), (Kind.LARGE, large)):
        image = opened(found[kind])
        assert image.size == pytest.approx(wanted, abs=1)
        width, height = image.size
        top, bottom, left = (
            image.getpixel((width // 2, height // 4)),
            image.getpixel((width // 2, 3 * height // 4)),
            image.getpixel((width // 30, height // 2)),
        )
        assert top[0] > 200 > top[2] and bottom[2] > 200 > bottom[0] and left[1] > 150  # type: ignore[index]


def test_they_hold_nothing_but_the_picture() -> None:
    """No EXIF, XMP, ICC or comment: markers APP1 to APP15 and COM of ITU-T T.81 are absent (APP0 is JFIF)."""
    for jpeg in drawn(picture(1200, 1800), POINTS).values():
        image = opened(jpeg)
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
        head = jpeg[: jpeg.index(b"\xff\xda")]
        assert not any(bytes((0xFF, 0xE0 + number)) in head[:20] for number in range(1, 16))
        assert b"Exif" not in head and b"http" not in head and b"\xff\xfe" not in head


def test_all_are_brought_to_srgb() -> None:
    """A file of another colour space is converted in every size: here one that exchanges red and blue."""
    found = drawn(picture(2400, 3600, to_srgb=lambda rgb: np.ascontiguousarray(rgb[..., ::-1])), POINTS)
    for kind in (Kind.SMALL, Kind.LARGE):
        image = opened(found[kind])
        assert image.getpixel((image.width // 2, image.height // 4))[2] > 200  # type: ignore[index]


def test_the_eyes_are_pixel_for_pixel() -> None:
    """A single white line one pixel wide is as wide in the strip."""
    whole = picture(1600, 2400)
    rgb = np.array(whole.rgb)
    rgb[:, 800] = 255
    strip = np.asarray(opened(drawn(replace(whole, rgb=rgb), POINTS)[Kind.EYES]).convert("L"))
    left, top, right, bottom = eyes_window(POINTS, 1600, 2400) or (0, 0, 0, 0)
    assert strip.shape == (bottom - top, right - left)
    row = strip[strip.shape[0] // 2].astype(int)
    assert row.argmax() == 800 - left
    assert (row > (row.max() + row.min()) / 2).sum() == 1


def test_without_a_sitter_there_is_no_strip() -> None:
    assert set(drawn(picture(600, 900), None)) == {Kind.SMALL, Kind.LARGE}


fraction = st.floats(-0.3, 1.3)


@given(fraction, fraction, fraction, fraction, st.integers(1, 12_000), st.integers(1, 12_000))
def test_the_strip_lies_in_the_frame_and_within_its_bound(
    x: float, y: float, other_x: float, other_y: float, width: int, height: int
) -> None:
    points = replace(POINTS, pupil_left=(x, y), pupil_right=(other_x, other_y))
    window = eyes_window(points, width, height)
    if window is None:
        return
    left, top, right, bottom = window
    assert 0 <= left < right <= width and 0 <= top < bottom <= height
    assert right - left <= LARGEST_EYES_PX[0] + 1 and bottom - top <= LARGEST_EYES_PX[1] + 1
