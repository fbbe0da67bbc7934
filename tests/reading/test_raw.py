"""RAW by the preview inside it, wherever its maker keeps that, else developed.

Checked against: the pixels that were written into a DNG of our own; layouts after the makers' files.
"""

from __future__ import annotations

import struct
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from eyeline.exiftool import ExifTool
from eyeline.reading.picture import picture_of
from tests.reading.dng import dng
from tests.reading.raw_layouts import LAYOUTS
from tests.reading.test_open_photo import distance, jpeg, opened, stored


class TestPreviews:
    """What stands in for a RAW."""

    def test_the_largest_one_serves_and_says_what_it_is(
        self, exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8]
    ) -> None:
        marked = scene.copy()
        marked[:100] = 0  # tells preview from mosaic
        data = dng(scene, jpeg(marked), scene.shape[1::-1])
        stream = opened(exiftool, tmp_path / "a.dng", data)
        assert stream.is_preview
        picture = picture_of(stream)
        assert picture.is_preview
        assert picture.rgb[:90].mean() < 2

    def test_a_small_one_does_not(self, exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8]) -> None:
        small = np.asarray(cv2.resize(scene, (320, 480)), np.uint8)
        stream = opened(exiftool, tmp_path / "a.dng", dng(scene, jpeg(small), (320, 480)))
        assert not stream.is_preview
        assert (stream.width, stream.height) == (1000, 1500)

    def test_but_it_is_better_than_nothing(
        self, exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8]
    ) -> None:
        small = np.asarray(cv2.resize(scene, (320, 480)), np.uint8)
        data = dng(scene, jpeg(small), (320, 480)).replace(
            struct.pack("<HHIHH", 259, 3, 1, 1, 0), struct.pack("<HHIHH", 259, 3, 1, 0x7FF0, 0)
        )  # a compression that nobody knows
        stream = opened(exiftool, tmp_path / "a.dng", data)
        assert stream.is_preview
        assert (stream.width, stream.height) == (320, 480)

    def test_one_that_was_put_in_upright_is_left_so(
        self, exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8]
    ) -> None:
        data = dng(stored(scene, 6), jpeg(scene), scene.shape[1::-1], orientation=6)
        stream = opened(exiftool, tmp_path / "a.dng", data)
        assert stream.stored_orientation == 6
        assert distance(picture_of(stream), scene) < 1.5

    def test_one_with_an_orientation_of_its_own_is_turned_by_that(
        self, exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8]
    ) -> None:
        exif = Image.Exif()
        exif[0x0112] = 8
        lying = stored(scene, 8)
        data = dng(stored(scene, 6), jpeg(lying, exif=exif), lying.shape[1::-1], orientation=6)
        assert distance(picture_of(opened(exiftool, tmp_path / "a.dng", data)), scene) < 1.5


@pytest.mark.parametrize("suffix", LAYOUTS)
def test_the_preview_is_found_where_each_maker_keeps_it(
    exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8], suffix: str
) -> None:
    orientation = 1 if suffix == "cr3" else 6
    exif = Image.Exif()
    if suffix == "raf":
        exif[0x0112] = orientation
    preview = jpeg(stored(scene, orientation), exif=exif)
    stream = opened(exiftool, tmp_path / f"a.{suffix}", LAYOUTS[suffix](preview, orientation))
    assert stream.is_preview
    assert stream.stored_orientation == orientation
    assert distance(picture_of(stream), scene) < 1.5
