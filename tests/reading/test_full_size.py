"""Pixels brought upright and to sRGB where they are looked at: the same as when all are brought there."""

from __future__ import annotations

import io

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps

from eyeline.reading.colour import stored_rgb, to_srgb
from eyeline.reading.full_size import TILE_PX, AtOnce, full_size, upright
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.picture import picture_of
from eyeline.reading.stream import Stored
from tests.reading.profiles import linear_profile

ORIENTATION_TAG = 0x0112

NOISE = np.random.default_rng(7).integers(0, 256, (TILE_PX + 70, 2 * TILE_PX + 30, 3), np.uint8)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_upright_is_what_pillow_turns_it_to(orientation: int) -> None:
    picture = Image.fromarray(NOISE)
    picture.getexif()[ORIENTATION_TAG] = orientation
    assert np.array_equal(upright(NOISE, orientation), np.asarray(ImageOps.exif_transpose(picture)))
    assert np.array_equal(np.asarray(full_size(Stored(NOISE), orientation)), upright(NOISE, orientation))
    assert np.array_equal(np.asarray(AtOnce(Stored(NOISE), orientation)), upright(NOISE, orientation))
    assert AtOnce(Stored(NOISE), orientation).shape == upright(NOISE, orientation).shape


def test_pixels_that_are_upright_and_srgb_are_not_copied() -> None:
    assert full_size(Stored(NOISE), 1) is NOISE


@given(st.data())
def test_any_window_is_the_one_of_the_whole(data: st.DataObject) -> None:
    orientation = data.draw(st.integers(1, 8))
    whole = 255 - upright(NOISE, orientation)
    pixels = full_size(Stored(NOISE, lambda part: np.asarray(255 - part, np.uint8)), orientation)
    assert pixels.shape == whole.shape
    for _ in range(3):
        rows, columns = (data.draw(st.slices(side)) for side in whole.shape[:2])
        assert np.array_equal(pixels[rows, columns], whole[rows, columns])
        assert np.array_equal(pixels[rows, columns, 1], whole[rows, columns, 1])
        assert np.array_equal(pixels[rows], whole[rows])
    assert np.array_equal(np.asarray(pixels), whole)


def test_only_what_is_looked_at_is_converted_and_once() -> None:
    converted: list[tuple[int, ...]] = []

    def convert(part: NDArray[np.uint8]) -> NDArray[np.uint8]:
        converted.append(part.shape[:2])
        return part

    pixels = full_size(Stored(NOISE, convert), 1)
    for _ in range(2):
        assert pixels[10:20, TILE_PX - 5 : TILE_PX + 5].shape == (10, 10, 3)
    assert converted == [(TILE_PX, TILE_PX)] * 2
    assert pixels[5:5, 0:10].size == 0
    assert len(converted) == 2


def test_a_part_is_converted_as_pillow_converts_the_whole() -> None:
    profile = linear_profile()
    whole = to_srgb(Image.fromarray(NOISE), profile)
    assert np.abs(whole.astype(int) - NOISE).mean() > 2, "the profile does nothing"
    theirs = ImageCms.profileToProfile(
        Image.fromarray(NOISE), io.BytesIO(profile), ImageCms.createProfile("sRGB"), outputMode="RGB"
    )
    assert np.array_equal(whole, np.asarray(theirs))
    assert np.array_equal(np.asarray(full_size(stored_rgb(NOISE, profile), 1)), whole)


@pytest.mark.parametrize("orientation", [1, 6])
def test_a_jpeg_of_another_colour_space_is_srgb_at_both_sizes(orientation: int) -> None:
    smooth = Image.fromarray(NOISE).resize((4, 4)).resize((3000, 2000), Image.Resampling.BICUBIC)
    file = io.BytesIO()
    smooth.save(file, "JPEG", quality=95, icc_profile=linear_profile())
    picture = picture_of(jpeg_stream(file.getvalue(), orientation))
    with Image.open(file) as opened:
        whole = upright(to_srgb(opened, linear_profile()), orientation)
    assert np.abs(np.asarray(picture.rgb, int) - whole).mean() < 1
    small = Image.fromarray(np.ascontiguousarray(whole)).resize(
        picture.reduced.shape[1::-1], Image.Resampling.BOX
    )
    assert np.abs(picture.reduced.astype(int) - np.asarray(small)).mean() < 1
