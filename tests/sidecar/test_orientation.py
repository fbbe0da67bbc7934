"""Upright to stored and back, and whether the stored pixels at the written region are the right ones."""

import subprocess
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageOps

from eyeline.exiftool import ExifTool
from eyeline.sidecar.fields import Annotation
from eyeline.sidecar.orientation import stored_from_upright
from eyeline.sidecar.regions import Region
from eyeline.terms.rectangle import Rectangle
from tests.sidecar.examples import write
from tests.sidecar.readers import by_exiftool

ORIENTATIONS = range(1, 9)

INVERSE = {6: 8, 8: 6}
"""All others undo themselves."""

fractions = st.floats(0, 1, allow_nan=False)


@st.composite
def rectangles(draw: st.DrawFn) -> Rectangle:
    left, right = sorted((draw(fractions), draw(fractions)))
    top, bottom = sorted((draw(fractions), draw(fractions)))
    return Rectangle(left, top, right - left, bottom - top)


def close(a: Rectangle, b: Rectangle) -> bool:
    pairs = ((a.left, b.left), (a.top, b.top), (a.width, b.width), (a.height, b.height))
    return all(abs(one - other) < 1e-12 for one, other in pairs)


@given(rectangles(), st.sampled_from(ORIENTATIONS))
def test_there_and_back_is_the_same(area: Rectangle, orientation: int) -> None:
    back = INVERSE.get(orientation, orientation)
    assert close(stored_from_upright(stored_from_upright(area, orientation), back), area)
    assert close(stored_from_upright(stored_from_upright(area, back), orientation), area)


@given(rectangles(), st.sampled_from(ORIENTATIONS))
def test_what_is_in_the_frame_stays_in_it_and_keeps_its_size(area: Rectangle, orientation: int) -> None:
    stored = stored_from_upright(area, orientation)
    assert min(stored.left, stored.top, 1 - stored.right, 1 - stored.bottom) >= -1e-12
    assert stored.width * stored.height == pytest.approx(area.width * area.height)


@given(rectangles())
def test_the_eight_are_a_group(area: Rectangle) -> None:
    """EXIF 2.32, tag 0x0112: 6 and 8 are quarter turns; 3 is two of 6; 2 is its own inverse."""
    twice = stored_from_upright(stored_from_upright(area, 6), 6)
    assert close(twice, stored_from_upright(area, 3))
    assert close(stored_from_upright(stored_from_upright(area, 2), 2), area)
    assert close(stored_from_upright(stored_from_upright(area, 2), 3), stored_from_upright(area, 4))


@pytest.mark.parametrize("orientation", [0, 9, -1])
def test_no_other_orientation(orientation: int) -> None:
    with pytest.raises(ValueError, match="1 to 8"):
        stored_from_upright(Rectangle(0, 0, 1, 1), orientation)


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_the_stored_pixels_at_the_written_region_are_the_patch(
    exiftool: ExifTool, tmp_path: Path, orientation: int
) -> None:
    """Pillow turns the picture, ExifTool reads the region: none of our formulas takes part.

    The stored picture is a gradient with a patch of one colour. Where the patch is upright is measured on
    what Pillow's `exif_transpose` makes of the file, as a viewer does. The region written for that place is
    read back and cut from the stored pixels: it must hold the patch, all of it and nothing else.
    """
    height, width = 240, 400
    pixels = np.zeros((height, width, 3), np.uint8)
    pixels[..., 0] = np.linspace(0, 100, width)[None, :]
    pixels[..., 2] = np.linspace(0, 100, height)[:, None]
    pixels[30:110, 60:160] = (10, 250, 10)  # nowhere near the centre, no symmetry
    photo = tmp_path / "patch.png"
    exif = Image.Exif()
    exif[0x0112] = orientation
    Image.fromarray(pixels).save(photo, exif=exif)

    with Image.open(photo) as image:
        upright = np.asarray(ImageOps.exif_transpose(image))
    rows, columns = np.nonzero(upright[..., 1] == 250)
    upright_height, upright_width = upright.shape[:2]
    area = Rectangle(
        columns.min() / upright_width,
        rows.min() / upright_height,
        (columns.max() + 1 - columns.min()) / upright_width,
        (rows.max() + 1 - rows.min()) / upright_height,
    )
    region = Region("eyeline-patch", "patch", area, ("areaOfInterest",))
    outcome = write(exiftool, photo, Annotation(3, (), (), (region,), "test"), orientation=orientation)

    x, y, w, h = by_exiftool(outcome.sidecar).regions["eyeline-patch"].area
    with Image.open(photo) as image:
        stored = np.asarray(image)  # Pillow does not turn on opening
    left, top = round(x * width), round(y * height)
    right, bottom = round((x + w) * width), round((y + h) * height)
    cut = stored[top:bottom, left:right]
    assert cut.size > 0
    assert (cut[..., 1] == 250).all()
    outside = stored[..., 1] == 250
    assert outside.sum() == cut.shape[0] * cut.shape[1]


def test_exiftool_reads_the_orientation_that_pillow_wrote(tmp_path: Path) -> None:
    """The test above rests on the tag being in the file."""
    exif = Image.Exif()
    exif[0x0112] = 7
    Image.new("RGB", (4, 3)).save(tmp_path / "o.png", exif=exif)
    told = subprocess.run(
        ["exiftool", "-n", "-s3", "-IFD0:Orientation", str(tmp_path / "o.png")],
        capture_output=True,
        text=True,
        check=True,
    )
    assert told.stdout.strip() == "7"
