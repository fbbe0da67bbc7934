"""What the camera noted, read from files whose EXIF was written by ExifTool and by Pillow."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from eyeline.errors import ExifToolFailed, UnreadablePhoto
from eyeline.exiftool import ExifTool
from eyeline.reading.capture import read_capture
from eyeline.terms.frame import Capture


@pytest.fixture(scope="module")
def tool() -> Iterator[ExifTool]:
    with ExifTool() as exiftool:
        yield exiftool


@pytest.fixture
def jpeg(tmp_path: Path) -> Path:
    path = tmp_path / "photo.jpg"
    Image.new("RGB", (6, 4)).save(path)
    return path


def put(path: Path, *assignments: str) -> None:
    """Write tags with a process of its own, not the one under test."""
    done = subprocess.run(
        ["exiftool", "-q", "-n", "-m", "-overwrite_original", *assignments, str(path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_all_that_a_camera_notes(tool: ExifTool, jpeg: Path) -> None:
    put(
        jpeg,
        "-IFD0:Orientation=6",
        "-ExifIFD:DateTimeOriginal=2026:05:04 10:11:12",
        "-ExifIFD:SubSecTimeOriginal=37",
        "-ExifIFD:OffsetTimeOriginal=+02:00",
        "-IFD0:Make=Northlight ",
        "-IFD0:Model=NL-1",
        "-ExifIFD:SerialNumber=00417",
        "-ExifIFD:FocalLength=85.5",
        "-ExifIFD:FocalLengthIn35mmFormat=128",
        "-ExifIFD:CameraElevationAngle=-12.5",
        "-XMP-xmp:Rating=3",
    )
    assert read_capture(tool, jpeg) == (
        6,
        Capture(
            taken_at="2026-05-04T10:11:12.37+02:00",
            make="Northlight",
            model="NL-1",
            serial="00417",
            focal_length_mm=85.5,
            focal_length_35mm=128.0,
            camera_elevation_deg=-12.5,
            rating_inside=3.0,
        ),
    )


def test_a_file_without_metadata(tool: ExifTool, jpeg: Path) -> None:
    assert read_capture(tool, jpeg) == (1, Capture())


def test_exif_written_by_pillow(tool: ExifTool, tmp_path: Path) -> None:
    path = tmp_path / "pillow.jpg"
    exif = Image.Exif()
    exif[0x0112] = 8  # Orientation
    exif[0x010F] = "Maker"
    exif[0x4746] = 4  # Rating
    exif.get_ifd(0x8769).update({0x9003: "2020:02:29 23:59:59", 0x920A: 50.0})
    Image.new("RGB", (6, 4)).save(path, exif=exif)
    assert read_capture(tool, path) == (
        8,
        Capture(taken_at="2020-02-29T23:59:59", make="Maker", focal_length_mm=50.0, rating_inside=4.0),
    )


def test_the_thumbnail_s_orientation_is_not_the_photo_s(tool: ExifTool, jpeg: Path, tmp_path: Path) -> None:
    thumbnail = tmp_path / "thumbnail.jpg"
    Image.new("RGB", (3, 2)).save(thumbnail)
    put(jpeg, "-IFD0:Orientation=3", f"-ThumbnailImage<={thumbnail}")
    put(jpeg, "-IFD1:Orientation=6")
    assert read_capture(tool, jpeg)[0] == 3


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_as_pillow_reads_it(tool: ExifTool, jpeg: Path, orientation: int) -> None:
    put(jpeg, f"-IFD0:Orientation={orientation}")
    with Image.open(jpeg) as image:
        assert image.getexif()[0x0112] == orientation
    assert read_capture(tool, jpeg)[0] == orientation


@pytest.mark.parametrize("orientation", [0, 9, 65535])
def test_an_orientation_out_of_range_is_upright(tool: ExifTool, jpeg: Path, orientation: int) -> None:
    put(jpeg, f"-IFD0:Orientation={orientation}")
    assert read_capture(tool, jpeg)[0] == 1


@pytest.mark.parametrize(
    ("inside", "rating"),
    [
        (["-XMP-xmp:Rating=2", "-IFD0:Rating=5"], 2.0),
        (["-IFD0:Rating=5"], 5.0),
        (["-XMP-xmp:Rating=-1"], -1.0),
        (["-XMP-xmp:Rating=0"], 0.0),
        (["-XMP-xmp:Rating=3.5"], 3.5),
        ([], None),
    ],
)
def test_a_rating_inside(tool: ExifTool, jpeg: Path, inside: list[str], rating: float | None) -> None:
    if inside:
        put(jpeg, *inside)
    assert read_capture(tool, jpeg)[1].rating_inside == rating


@pytest.mark.parametrize(
    "date", ["0000:00:00 00:00:00", "2026:13:45 99:00:00", "    :  :     :  :  ", "yesterday"]
)
def test_a_date_that_is_none_is_absent(tool: ExifTool, tmp_path: Path, date: str) -> None:
    path = tmp_path / "odd.jpg"
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = date
    Image.new("RGB", (6, 4)).save(path, exif=exif)
    assert read_capture(tool, path)[1].taken_at is None


def test_a_focal_length_of_zero_or_over_zero_is_absent(tool: ExifTool, jpeg: Path) -> None:
    put(
        jpeg,
        "-ExifIFD:FocalLength=0",
        "-ExifIFD:FocalLengthIn35mmFormat=0",
        "-ExifIFD:CameraElevationAngle=inf",
    )
    assert read_capture(tool, jpeg) == (1, Capture())


def test_words_that_json_knows_stay_words(tool: ExifTool, jpeg: Path) -> None:
    put(jpeg, "-IFD0:Make=true", "-IFD0:Model=1e5", "-ExifIFD:SerialNumber=0012")
    capture = read_capture(tool, jpeg)[1]
    assert (capture.make, capture.model, capture.serial) == ("true", "1e5", "0012")


@pytest.mark.parametrize("content", [b"", b"\xff\xd8\xff", b"not a photo", b"\0" * 1000])
def test_a_broken_file_is_named_or_says_nothing(tool: ExifTool, tmp_path: Path, content: bytes) -> None:
    """ExifTool may find nothing in it, which is no error, or refuse it; the pixels decide later."""
    path = tmp_path / "broken.jpg"
    path.write_bytes(content)
    try:
        assert read_capture(tool, path) == (1, Capture())
    except UnreadablePhoto as error:
        assert str(path) in str(error)


def test_a_file_that_vanished_is_named(tool: ExifTool, tmp_path: Path) -> None:
    with pytest.raises(UnreadablePhoto, match=r"gone\.jpg"):
        read_capture(tool, tmp_path / "gone.jpg")


def test_without_exiftool_the_photo_is_not_blamed(jpeg: Path) -> None:
    with pytest.raises(ExifToolFailed, match="not installed"), ExifTool("no-such-exiftool") as none:
        read_capture(none, jpeg)
