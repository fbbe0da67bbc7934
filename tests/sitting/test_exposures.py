"""Which files show one exposure, and where a region of the JPEG lies in its RAW."""

from __future__ import annotations

from pathlib import PurePath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.sitting.exposures import ExposureFile, home, pairs, seen_in
from eyeline.terms.rectangle import Rectangle

KINDS = {"jpg": "JPEG", "jpeg": "JPEG", "heic": "HEIF", "tif": "TIFF", "png": "PNG"}
TEN = "2031-04-17T10:00:00"


def file(path: str, taken_at: str | None = TEN, camera: str | None = "1") -> ExposureFile:
    suffix = path.rpartition(".")[2].lower()
    return ExposureFile(PurePath(path), KINDS.get(suffix, "RAW"), taken_at, camera)


def paired(*files: ExposureFile) -> dict[str, str]:
    return {str(follower): str(leader) for follower, leader in pairs(files).items()}


@pytest.mark.parametrize(
    ("jpeg", "raw"),
    [
        ("s/IMG_1.jpg", "s/IMG_1.CR3"),
        ("s/IMG_1.JPG", "s/img_1.cr3"),
        ("s/JPG/IMG_1.jpg", "s/RAW/IMG_1.nef"),
        ("s/IMG_1.jpg", "s/raw/IMG_1.dng"),
        ("s/JPEG/IMG_1.jpg", "s/IMG_1.arw"),
        ("s/IMG_1.HEIC", "s/IMG_1.raf"),
    ],
)
def test_a_raw_follows_its_jpeg_side_by_side_or_in_sibling_folders(jpeg: str, raw: str) -> None:
    assert paired(file(jpeg), file(raw)) == {raw: jpeg}
    assert paired(file(raw), file(jpeg)) == {raw: jpeg}


@pytest.mark.parametrize(
    "other",
    [
        file("s/IMG_2.CR3"),
        file("t/IMG_1.CR3"),
        file("s/best/IMG_1.CR3"),
        file("s/IMG_1.CR3", camera="2"),
        file("s/IMG_1.CR3", taken_at="2031-04-17T10:00:01"),
        file("s/IMG_1.CR3", taken_at="2032-04-17T10:00:00"),
        file("s/IMG_1.jpeg"),
        file("s/RAW/IMG_1.jpg"),
        file("s/png/IMG_1.png"),
    ],
    ids=lambda each: f"{each.path} {each.taken_at} {each.camera}",
)
def test_what_name_place_time_or_camera_tell_apart_stays_apart(other: ExposureFile) -> None:
    assert paired(file("s/IMG_1.jpg"), other) == {}


def test_numbers_that_wrapped_find_the_file_of_their_own_time() -> None:
    early, late = file("s/JPG/IMG_1.jpg"), file("s/IMG_1.jpg", taken_at="2031-09-01T10:00:00")
    raw = file("s/RAW/IMG_1.CR3", taken_at="2031-09-01T10:00:00")
    assert paired(early, late, raw) == {"s/RAW/IMG_1.CR3": "s/IMG_1.jpg"}


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("2031-04-17T10:00:00.25", "2031-04-17T10:00:00", True),
        ("2031-04-17T10:00:00.25", "2031-04-17T10:00:00.250+02:00", True),
        ("2031-04-17T10:00:00.25", "2031-04-17T10:00:00.26", False),
        ("2031-04-17T10:00:00-05:00", "2031-04-17T10:00:00", True),
        (None, TEN, True),
    ],
)
def test_a_part_of_the_time_that_is_not_told_decides_nothing(one: str, other: str, same: bool) -> None:
    """A burst tells its frames apart by fractions of a second only."""
    assert bool(paired(file("a.jpg", one), file("a.dng", other))) == same


def test_one_that_lies_beside_is_preferred() -> None:
    files = (file("s/IMG_1.jpg"), file("s/JPG/IMG_1.jpg"), file("s/IMG_1.CR3"))
    assert paired(*files) == {"s/IMG_1.CR3": "s/IMG_1.jpg"}


def test_renderings_of_one_name_in_one_folder_follow_the_jpeg_since_they_share_its_sidecar() -> None:
    files = (file("s/a.tif"), file("s/a.jpg"), file("s/a.CR3"))
    assert paired(*files) == {"s/a.tif": "s/a.jpg", "s/a.CR3": "s/a.jpg"}


def test_a_raw_alone_leads() -> None:
    assert paired(file("s/RAW/a.CR3")) == {}
    assert home(PurePath("s/RAW")) == PurePath("s")
    assert home(PurePath("s")) == PurePath("s")


fractions = st.floats(0, 0.5)
sizes = st.sampled_from([(6000, 4000), (4000, 6000), (6000, 3375), (5328, 4000), (4000, 4000), (6016, 4016)])


@given(fractions, fractions, sizes, sizes)
def test_a_region_covers_the_same_part_of_the_scene(
    left: float, top: float, jpeg: tuple[int, int], raw: tuple[int, int]
) -> None:
    """In units of what both show alike: the shorter of both in the way that the camera cropped."""
    area = Rectangle(left, top, 0.4, 0.3)
    found = seen_in(area, jpeg, raw)
    if found is None:
        assert (jpeg[0] > jpeg[1]) != (raw[0] > raw[1])
        return
    assert 0 <= found.left < found.right <= 1 + 1e-9
    assert 0 <= found.top < found.bottom <= 1 + 1e-9
    shape = found.width * raw[0] / (found.height * raw[1])
    assert shape == pytest.approx(area.width * jpeg[0] / (area.height * jpeg[1]), rel=0.011)
    centre = Rectangle(0.3, 0.35, 0.4, 0.3)
    middle = seen_in(centre, jpeg, raw)
    assert middle is not None
    assert (middle.left + middle.right) / 2 == pytest.approx(0.5)
    assert (middle.top + middle.bottom) / 2 == pytest.approx(0.5)


def test_a_worked_example() -> None:
    """A 16:9 JPEG of a 3:2 RAW has 27/32 of its height (9/16 · 3/2): 5/64 are missing above and below."""
    whole = seen_in(Rectangle(0, 0, 1, 1), (6000, 3375), (6000, 4000))
    assert whole is not None
    assert (whole.left, whole.width) == (0, 1)
    assert whole.top == pytest.approx(5 / 64)
    assert whole.height == pytest.approx(27 / 32)


@pytest.mark.parametrize("raw", [(4000, 6000), (12000, 1000)])
def test_what_cannot_be_related_is_not(raw: tuple[int, int]) -> None:
    assert seen_in(Rectangle(0, 0, 1, 1), (6000, 4000), raw) is None
