"""Delivered pixels, colours, files and metadata against other programs.

Pixels: ImageMagick's crop and resize (its own Lanczos). Colours: transicc of littleCMS, on a chart. Files:
Pillow and `identify`. Metadata: ExifTool and exiv2.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from skimage.color import deltaE_ciede2000, rgb2lab

from eyeline.delivery.box import Box
from eyeline.delivery.metadata import packet
from eyeline.delivery.specification import Intent, Kind, Specification
from eyeline.errors import EyelineError, UnreadablePhoto
from eyeline.rendering.encode import encoded
from eyeline.rendering.file_facts import breaches
from eyeline.rendering.libvips import pyvips
from eyeline.rendering.profile import target_profile
from eyeline.rendering.render import Source, dithered, rendered

SHOOT = Path(__file__).resolve().parents[2] / "shoot"
FRAME = SHOOT / "NL1_1002.jpg"
PACKET = packet(
    "Mona Vale",
    "© 2026 Mona Vale, all rights reserved",
    "m@example.org, https://example.org",
    "A <b> & c",
    "d",
    "v",
    "s",
)

LEAST_PSNR_DB = 44.0
"""Two sound resamplers by one kernel differ by rounding and by how they end it; nobody sees 40 dB."""


STORED = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}
ORIENT = dict(
    enumerate(
        (
            "TopLeft",
            "TopRight",
            "BottomRight",
            "BottomLeft",
            "LeftTop",
            "RightTop",
            "RightBottom",
            "LeftBottom",
        ),
        1,
    )
)


def pixels(image: object) -> NDArray[np.uint8]:
    return np.asarray(image.numpy())  # type: ignore[attr-defined]


def source(path: Path, orientation: int = 1) -> Source:
    with Image.open(path) as opened:
        width, height = opened.size
    return Source(path, *((height, width) if orientation >= 5 else (width, height)), orientation)


def psnr(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> float:
    error = np.mean((one.astype(float) - other.astype(float)) ** 2)
    return float(10 * np.log10(255**2 / error))


@pytest.mark.parametrize(
    ("box", "size"), [(Box(120, 60, 800, 1000), (400, 500)), (Box(7, 11, 901, 1001), (300, 333))]
)
def test_crop_and_resize_are_imagemagick_s(box: Box, size: tuple[int, int], tmp_path: Path) -> None:
    Image.open(FRAME).convert("RGB").save(tmp_path / "in.png")
    out = tmp_path / "out.png"
    resize = ("-filter", "Lanczos", "-resize", f"{size[0]}x{size[1]}!")
    crop = f"{box.width}x{box.height}+{box.left}+{box.top}"
    subprocess.run(
        ["convert", tmp_path / "in.png", "-crop", crop, "+repage", *resize, out],
        check=True,
    )
    ours = pixels(rendered(source(tmp_path / "in.png"), box, size, Specification()).image)
    assert ours.shape == (size[1], size[0], 3)
    assert psnr(ours, np.asarray(Image.open(out).convert("RGB"))) >= LEAST_PSNR_DB


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_turned_file_is_cut_as_it_is_seen(orientation: int, tmp_path: Path) -> None:
    upright = np.random.default_rng(1).integers(0, 256, (90, 70, 3), dtype=np.uint8)
    stored = tmp_path / "stored.png"
    way = STORED[orientation]
    (Image.fromarray(upright) if way is None else Image.fromarray(upright).transpose(way)).save(stored)
    seen = tmp_path / "seen.png"
    subprocess.run(["convert", stored, "-orient", ORIENT[orientation], "-auto-orient", seen], check=True)
    assert (np.asarray(Image.open(seen).convert("RGB")) == upright).all(), "as ImageMagick takes it"
    box = Box(10, 20, 40, 30)
    ours = pixels(rendered(source(stored, orientation), box, (40, 30), Specification()).image)
    assert (ours == upright[20:50, 10:50]).all()


def chart() -> NDArray[np.uint8]:
    """125 patches: every channel at five levels."""
    levels = np.array([0, 64, 128, 192, 255], np.uint8)
    return np.stack(np.meshgrid(levels, levels, levels, indexing="ij"), axis=-1).reshape(1, 125, 3)


@pytest.mark.skipif(shutil.which("transicc") is None, reason="transicc of littleCMS is not installed")
@pytest.mark.parametrize("intent", [Intent.RELATIVE, Intent.PERCEPTUAL])
def test_a_chart_converts_as_littlecms_converts_it(intent: Intent, tmp_path: Path) -> None:
    (tmp_path / "p3.icc").write_bytes(target_profile("Display P3"))
    (tmp_path / "srgb.icc").write_bytes(target_profile("sRGB"))
    patches = np.repeat(np.repeat(chart(), 4, axis=0), 4, axis=1)
    Image.fromarray(patches).save(tmp_path / "chart.png", icc_profile=(tmp_path / "p3.icc").read_bytes())
    height, width = patches.shape[:2]
    picture = rendered(
        source(tmp_path / "chart.png"),
        Box(0, 0, width, height),
        (width, height),
        Specification(intent=intent),
    )
    ours = pixels(picture.image).reshape(4, 125, 4, 3).astype(float).mean(axis=(0, 2))
    number = {Intent.RELATIVE: "1", Intent.PERCEPTUAL: "0"}[intent]
    compensated = ["-b"] if intent is Intent.RELATIVE else []
    asked = "\n".join(" ".join(map(str, patch)) for patch in chart()[0])
    answer = subprocess.run(
        [
            "transicc",
            "-n",
            f"-t{number}",
            *compensated,
            "-i",
            tmp_path / "p3.icc",
            "-o",
            tmp_path / "srgb.icc",
        ],
        input=asked + "\n",
        capture_output=True,
        text=True,
        check=False,
    )
    theirs = np.array([float(number) for number in answer.stdout.split()]).reshape(-1, 3).clip(0, 255)
    assert len(theirs) == 125
    apart = deltaE_ciede2000(rgb2lab(ours / 255), rgb2lab(theirs / 255))
    assert apart.max() <= 1.0


def test_sixteen_bits_become_eight_without_steps_and_with_the_same_mean() -> None:
    ramp = np.linspace(100 * 257, 104 * 257, 256).astype(np.uint16)
    picture = np.repeat(np.repeat(ramp[None, :, None], 512, axis=0), 3, axis=2)
    made = pixels(dithered(pyvips.Image.new_from_array(picture).copy(interpretation="rgb16")))
    means = made.reshape(512, 256, 3).astype(float).mean(axis=(0, 2))
    assert abs(means - ramp / 257).max() < 0.1, "rounding would be off by a half"
    assert {*np.unique(made)} <= {*range(100, 106)}


@pytest.mark.parametrize("kind", Kind)
def test_every_kind_says_what_was_asked_for(kind: Kind, tmp_path: Path) -> None:
    asked = Specification(kind=kind, pixels_per_inch=240, profile="Display P3")
    picture = rendered(source(FRAME), Box(120, 60, 800, 1000), (160, 200), asked)
    made = encoded(picture, asked, PACKET)
    assert breaches(made.content, (160, 200), asked, picture.profile) == []
    path = tmp_path / f"made{kind.ending}"
    path.write_bytes(made.content)
    if kind is not Kind.AVIF:
        with Image.open(path) as opened:
            opened.load()
            assert opened.size == (160, 200)
            assert opened.info["icc_profile"] == target_profile("Display P3")
            if kind.tells_resolution:
                assert [round(float(number)) for number in opened.info["dpi"]] == [240, 240]
    said = subprocess.run(
        ["exiftool", "-G1", "-a", "-s", path], capture_output=True, text=True, check=True
    ).stdout
    assert "Mona Vale" in said and "A <b> & c" in said and "m@example.org" in said
    for never in ("GPS", "History", "Rating", "Region", "Subject", "SerialNumber", "DateTimeOriginal"):
        assert never not in said
    if kind in (Kind.JPEG, Kind.PNG, Kind.TIFF, Kind.WEBP):
        other = subprocess.run(["exiv2", "-PXkyv", path], capture_output=True, text=True, check=True).stdout
        assert "Xmp.dc.creator" in other and "Mona Vale" in other and "Xmp.xmpMM.DerivedFrom" in other


@pytest.mark.parametrize("kind", [Kind.JPEG, Kind.WEBP])
@pytest.mark.parametrize("most", [60, 25])
def test_a_limit_is_kept_by_the_best_quality_that_fits(kind: Kind, most: int) -> None:
    asked = Specification(kind=kind, most_kilobytes=most, quality=95)
    picture = rendered(source(FRAME), Box(120, 60, 800, 1000), (400, 500), asked)
    made = encoded(picture, asked, PACKET)
    assert len(made.content) <= most * 1000 and made.quality is not None
    if made.quality < 95:
        better = encoded(picture, Specification(kind=kind, quality=made.quality + 1), PACKET)
        assert len(better.content) > most * 1000


def test_a_limit_that_no_quality_keeps_is_told() -> None:
    asked = Specification(most_kilobytes=4)
    with pytest.raises(EyelineError, match="even at quality"):
        encoded(rendered(source(FRAME), Box(120, 60, 800, 1000), (400, 500), asked), asked, PACKET)


@pytest.mark.parametrize("mode", ["L", "CMYK", "RGBA", "P", "I;16"])
def test_pictures_of_any_mode_become_rgb(mode: str, tmp_path: Path) -> None:
    grey = np.linspace(0, 255, 64 * 64).reshape(64, 64).astype(np.uint8)
    if mode == "I;16":
        picture = Image.fromarray(grey.astype(np.uint16) * 257)
    elif mode == "P":
        picture = Image.fromarray(grey).quantize(256)
    else:
        picture = Image.fromarray(grey).convert("RGB").convert(mode)
    path = tmp_path / ("in.tif" if mode in ("CMYK", "I;16") else "in.png")
    picture.save(path)
    made = pixels(rendered(source(path), Box(0, 0, 64, 64), (64, 64), Specification()).image)
    assert made.shape == (64, 64, 3) and made.dtype == np.uint8
    seen = made.astype(float).mean(axis=2)
    if mode == "CMYK":  # without a profile of its own it is only roughly known
        assert np.corrcoef(seen.ravel(), grey.ravel())[0, 1] > 0.98
    else:
        assert np.abs(seen - grey).max() <= 2


@pytest.mark.parametrize(
    "case", ["gone", "cut short", "no picture", "another size", "a picture for a plotter"]
)
def test_what_cannot_be_rendered_is_told_with_the_file(case: str, tmp_path: Path) -> None:
    path = tmp_path / "final.jpg"
    whole = FRAME.read_bytes()
    if case == "cut short":
        path.write_bytes(whole[: len(whole) // 2])
    elif case == "no picture":
        path.write_bytes(b"\xff\xd8\xff" + b"no picture" * 99)
    elif case == "another size":
        Image.new("RGB", (64, 64)).save(path)
    elif case == "a picture for a plotter":
        path.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="1800" height="1200"/>')
    with pytest.raises(UnreadablePhoto) as told:
        rendered(Source(path, 1800, 1200), Box(0, 0, 1800, 1200), (180, 120), Specification())
    assert told.value.file == path


def test_a_file_that_was_saved_again_is_read_again(tmp_path: Path) -> None:
    path = tmp_path / "final.png"
    for level in (10, 200):
        Image.new("RGB", (64, 64), (level,) * 3).save(path)
        made = pixels(rendered(Source(path, 64, 64), Box(0, 0, 64, 64), (64, 64), Specification()).image)
        assert made.mean() == level
