"""Every kind of photo gives the same upright picture, or says what is wrong before memory is spent.

Checked against: the pixels that were written, by encoders that eyeline does not decode with where there are
such (OpenCV's PNG and TIFF, a DNG of our own after the specification); ExifTool for previews and orientation.
"""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import cv2
import numpy as np
import pi_heif
import pillow_heif
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms

from eyeline.errors import UnreadablePhoto
from eyeline.exiftool import ExifTool
from eyeline.reading.capture import read_capture
from eyeline.reading.open_photo import open_photo
from eyeline.reading.picture import picture_of
from eyeline.reading.stream import Stream
from eyeline.terms.frame import Picture
from tests.reading.dng import dng
from tests.reading.profiles import linear_profile
from tests.reading.raw_layouts import LAYOUTS

TO_STORED = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}
"""From upright to stored, the inverse of what Pillow's ImageOps.exif_transpose does for each orientation."""

KIND_OF_SUFFIX = {"png": "PNG", "tif": "TIFF", "heic": "HEIF", "jpg": "JPEG", "dng": "RAW"} | dict.fromkeys(
    LAYOUTS, "RAW"
)


@pytest.fixture(scope="module")
def exiftool() -> Iterator[ExifTool]:
    with ExifTool() as tool:
        yield tool


def stored(rgb: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    return rgb if orientation == 1 else np.asarray(Image.fromarray(rgb).transpose(TO_STORED[orientation]))


def jpeg(rgb: NDArray[np.uint8], **options: object) -> bytes:
    return saved(Image.fromarray(rgb), "JPEG", quality=95, **options)


def saved(picture: Image.Image, form: str, **options: object) -> bytes:
    target = io.BytesIO()
    picture.save(target, form, **options)  # type: ignore[arg-type]
    return target.getvalue()


def by_opencv(suffix: str, rgb: NDArray[np.generic]) -> bytes:
    done, encoded = cv2.imencode(suffix, rgb[..., ::-1])
    assert done
    return bytes(encoded)


def opened(exiftool: ExifTool, path: Path, data: bytes) -> Stream:
    path.write_bytes(data)
    orientation, _ = read_capture(exiftool, path)
    return open_photo(KIND_OF_SUFFIX[path.suffix[1:]], data, path, orientation, exiftool)


def distance(picture: Picture, rgb: NDArray[np.uint8]) -> float:
    assert picture.rgb.shape == rgb.shape
    return float(np.abs(np.asarray(picture.rgb, int) - rgb).mean())


def sixteen(rgb: NDArray[np.uint8]) -> NDArray[np.uint16]:
    return rgb.astype(np.uint16) * 257


WRITERS: dict[str, tuple[str, Callable[[NDArray[np.uint8]], bytes], float]] = {
    "PNG": ("png", lambda rgb: by_opencv(".png", rgb), 0),
    "PNG 16 bit": ("png", lambda rgb: by_opencv(".png", sixteen(rgb)), 0),
    "TIFF": ("tif", lambda rgb: by_opencv(".tif", rgb), 0),
    "TIFF 16 bit": ("tif", lambda rgb: by_opencv(".tif", sixteen(rgb)), 0),
    "TIFF deflated": ("tif", lambda rgb: saved(Image.fromarray(rgb), "TIFF", compression="tiff_deflate"), 0),
    "HEIC": ("heic", lambda rgb: heic(rgb), 1.5),
    "JPEG under the name of a HEIC": ("heic", jpeg, 1.5),
    "PNG under the name of a JPEG": ("jpg", lambda rgb: by_opencv(".png", rgb), 0),
    "CMYK JPEG": ("jpg", lambda rgb: saved(Image.fromarray(rgb).convert("CMYK"), "JPEG", quality=95), 1.5),
    "DNG developed": ("dng", dng, 1.0),
    "DNG by its preview": ("dng", lambda rgb: dng(rgb, jpeg(rgb), rgb.shape[1::-1]), 1.5),
}
"""Suffix, writer, and the largest mean difference: the loss of the lossy ones, in 8-bit steps. (The
drawn DNG's camera sees sRGB's own primaries, so that developing it has to give back the picture.)"""


def heic(rgb: NDArray[np.uint8]) -> bytes:
    target = io.BytesIO()
    pillow_heif.from_pillow(Image.fromarray(rgb)).save(target, quality=92)
    return target.getvalue()


@pytest.mark.parametrize("name", WRITERS)
def test_the_picture_is_the_one_that_was_written(
    exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8], name: str
) -> None:
    suffix, writer, tolerance = WRITERS[name]
    stream = opened(exiftool, tmp_path / f"a.{suffix}", writer(scene))
    assert (stream.width, stream.height) == (scene.shape[1], scene.shape[0])
    assert distance(picture_of(stream), scene) <= tolerance


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["tif", "png", "dng", "dng preview"])
def test_every_orientation_comes_upright_and_regions_keep_the_stored_frame(
    exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8], kind: str, orientation: int
) -> None:
    lying = stored(scene, orientation)
    path = tmp_path / f"a.{kind[:3]}"
    if kind == "dng":
        path.write_bytes(dng(lying, orientation=orientation))
    elif kind == "dng preview":
        path.write_bytes(dng(lying, jpeg(lying), lying.shape[1::-1], orientation))
    else:
        path.write_bytes(by_opencv(f".{kind}", lying))
        edit(path, f"-IFD0:Orientation={orientation}")
    stream = opened(exiftool, path, path.read_bytes())
    assert stream.stored_orientation == orientation
    assert distance(picture_of(stream), scene) < 1.5


def test_a_heif_is_upright_whatever_its_exif_says(
    exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8]
) -> None:
    """ISO/IEC 23008-12: its own properties turn it; a reader that turned it by EXIF too would lie it down."""
    picture = Image.fromarray(scene)
    exif = Image.Exif()
    exif[0x0112] = 6
    target = io.BytesIO()
    pillow_heif.from_pillow(picture).save(target, quality=92, exif=exif.tobytes())
    stream = opened(exiftool, tmp_path / "a.heic", target.getvalue())
    assert stream.stored_orientation == 1
    assert stream.orientation == 1


@pytest.mark.parametrize("orientation", [1, 3, 5, 6, 8])
def test_a_heif_is_turned_as_another_reader_turns_it(
    exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8], orientation: int
) -> None:
    """By ImageMagick with the system's libheif, which is of another age than the bundled one. Its pixels are
    the frame in which regions are told, whatever EXIF says beside."""
    formats = subprocess.run(["identify", "-list", "format"], capture_output=True, text=True, check=False)
    if "HEIC" not in formats.stdout:
        pytest.skip("left out: no ImageMagick that reads HEIC is here")
    exif = Image.Exif()
    exif[0x0112] = orientation
    heif = pillow_heif.from_pillow(Image.fromarray(scene).resize((200, 300)))
    path = tmp_path / "a.heic"
    heif.save(path, quality=92, exif=exif.tobytes())
    stated = exiftool.read(path, ("QuickTime:Rotation", "IFD0:Orientation"))
    assert stated["IFD0:Orientation"] == str(orientation)
    if orientation in (6, 8):
        assert stated["QuickTime:Rotation"] == {6: "270", 8: "90"}[orientation]
    subprocess.run(["mogrify", "-format", "png", path], check=True)
    theirs = np.asarray(Image.open(path.with_suffix(".png")).convert("RGB"))
    stream = opened(exiftool, path, path.read_bytes())
    assert stream.stored_orientation == 1
    assert distance(picture_of(stream), theirs) < 2


class TestColour:
    """An embedded profile is obeyed, for every kind that can hold one."""

    @pytest.mark.parametrize("form", ["PNG", "TIFF", "JPEG"])
    def test_a_linear_profile_is_converted(
        self, exiftool: ExifTool, tmp_path: Path, form: str, scene: NDArray[np.uint8]
    ) -> None:
        """XYZ is linear: middle grey 128 there is L* 76, 188 in sRGB (IEC 61966-2-1: 0.502 -> 0.737)."""
        profile = linear_profile()
        data = saved(Image.new("RGB", (100, 100), (128, 128, 128)), form, icc_profile=profile)
        suffix = {"PNG": "png", "TIFF": "tif", "JPEG": "jpg"}[form]
        picture = picture_of(opened(exiftool, tmp_path / f"a.{suffix}", data))
        assert np.abs(np.asarray(picture.rgb, int) - 188).max() <= 2

    def test_a_profile_for_another_mode_is_passed_over(self, exiftool: ExifTool, tmp_path: Path) -> None:
        profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
        data = saved(Image.new("RGB", (100, 100), (10, 200, 30)), "PNG", icc_profile=profile)
        picture = picture_of(opened(exiftool, tmp_path / "a.png", data))
        assert (np.asarray(picture.rgb) == (10, 200, 30)).all()

    def test_transparency_shows_white_and_sixteen_bits_of_grey_are_scaled(
        self, exiftool: ExifTool, tmp_path: Path
    ) -> None:
        clear = saved(Image.new("RGBA", (100, 100), (0, 0, 0, 0)), "PNG")
        assert (picture_of(opened(exiftool, tmp_path / "a.png", clear)).rgb[:] == 255).all()
        grey = saved(Image.fromarray(np.full((100, 100), 40 * 257, np.uint16)), "PNG")
        assert (picture_of(opened(exiftool, tmp_path / "b.png", grey)).rgb[:] == 40).all()


def test_what_users_get_decodes_heif_and_encodes_none() -> None:
    """libheif's own list of what is built in: an encoder of HEVC would put the whole wheel under the GPL."""
    built_in = pi_heif.libheif_info()
    assert built_in["HEIF"] == ""
    assert built_in["decoders"].keys() == {"libde265"}
    assert not any("265" in name for name in built_in["encoders"])


@pytest.mark.parametrize("name", [name for name in WRITERS if "under" not in name])
@pytest.mark.parametrize("kept", [0.02, 0.4, 0.9])
def test_a_file_that_breaks_off_is_refused_or_whole(
    exiftool: ExifTool, tmp_path: Path, scene: NDArray[np.uint8], name: str, kept: float
) -> None:
    """A copy under way must never pass for a photo with a grey or black half."""
    suffix, writer, tolerance = WRITERS[name]
    data = writer(scene)
    path = tmp_path / f"a.{suffix}"
    path.write_bytes(data[: int(kept * len(data))])
    try:
        picture = picture_of(open_photo(KIND_OF_SUFFIX[suffix], path.read_bytes(), path, 1, exiftool))
    except UnreadablePhoto as error:
        assert error.cure
    else:
        assert distance(picture, scene) <= max(tolerance, 1.5), "part of the picture is missing"


def edit(path: Path, *assignments: str) -> None:
    subprocess.run(
        ["exiftool", "-q", "-n", "-overwrite_original", *assignments, str(path)],
        check=True,
        capture_output=True,
    )
