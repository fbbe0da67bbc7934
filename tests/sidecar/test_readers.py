"""Rating, keywords, scenes and every region value as programs outside this project read them."""

import dataclasses
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.sidecar.fields import Annotation
from eyeline.sidecar.meaning import parse
from eyeline.sidecar.regions import Region
from eyeline.terms.rectangle import Rectangle
from tests.sidecar.examples import EXAMPLE, write
from tests.sidecar.readers import READERS, Seen, decided, differences

STORED = {
    "eyeline-crop-4x5": (0.05, 0.03, 0.7, 0.84),
    "eyeline-crop-1x1": (0.06, 0.03, 0.56, 0.84),
    "eyeline-sitter": (0.14, 0.34, 0.32, 0.36),
    "eyeline-copy-space": (0.04, 0.74, 0.5, 0.24),
}
"""Stored rectangles of the worked example: the metadata contract, section 13, and its example.xmp."""

each_reader = pytest.mark.parametrize("reader", [pytest.param(name, id=name) for name in READERS])


def read(reader: str) -> Callable[[Path], Seen]:
    if shutil.which(reader) is None:
        pytest.skip(f"{reader} is not installed")
    return READERS[reader]


@each_reader
def test_the_worked_example_is_read_as_decided(exiftool: ExifTool, photo: Path, reader: str) -> None:
    outcome = write(exiftool, photo)
    assert differences(decided(EXAMPLE, STORED), read(reader)(outcome.sidecar)) == []


@each_reader
def test_a_second_write_is_read_as_decided(exiftool: ExifTool, photo: Path, reader: str) -> None:
    first = write(exiftool, photo)
    changed = dataclasses.replace(
        EXAMPLE, stars=2, keywords=("blink", "headshot"), regions=EXAMPLE.regions[1:3]
    )
    outcome = write(exiftool, photo, changed, first.written)
    assert differences(decided(changed, STORED), read(reader)(outcome.sidecar)) == []


@each_reader
@pytest.mark.parametrize("field", range(4))
def test_a_shift_of_one_per_cent_is_caught(exiftool: ExifTool, photo: Path, reader: str, field: int) -> None:
    """Planted: the sidecar has the sitter one per cent of the frame away; each reader must tell."""
    sitter = EXAMPLE.regions[2]
    shifted = list(dataclasses.astuple(sitter.area))
    shifted[field] += 0.01
    planted = dataclasses.replace(sitter, area=Rectangle(*shifted))
    regions = (*EXAMPLE.regions[:2], planted, EXAMPLE.regions[3])
    outcome = write(exiftool, photo, dataclasses.replace(EXAMPLE, regions=regions))
    told = differences(decided(EXAMPLE, STORED), read(reader)(outcome.sidecar))
    assert len(told) == 1
    assert told[0].startswith("eyeline-sitter area")


@each_reader
@pytest.mark.parametrize(
    "wrong",
    [
        dataclasses.replace(EXAMPLE, stars=3),
        dataclasses.replace(EXAMPLE, keywords=EXAMPLE.keywords[:2]),
        dataclasses.replace(EXAMPLE, scene_codes=("010100",)),
        dataclasses.replace(EXAMPLE, regions=EXAMPLE.regions[:3]),
        dataclasses.replace(
            EXAMPLE,
            regions=(dataclasses.replace(EXAMPLE.regions[0], roles=("recomCropping",)), *EXAMPLE.regions[1:]),
        ),
    ],
    ids=["rating", "keyword", "scene", "region", "role"],
)
def test_any_other_planted_difference_is_caught(
    exiftool: ExifTool, photo: Path, reader: str, wrong: Annotation
) -> None:
    outcome = write(exiftool, photo, wrong)
    assert differences(decided(EXAMPLE, STORED), read(reader)(outcome.sidecar)) != []


@each_reader
def test_hostile_words_arrive_as_they_are(exiftool: ExifTool, photo: Path, reader: str) -> None:
    """Characters that mean something to XML or to ExifTool's structure notation. (exiv2 joins a list with
    commas, so a comma inside a keyword could not be told apart there.)
    """
    keywords = (
        "[a]",
        "{b=c}",
        "d|e",
        "<f> & \"g\" 'h'",
        "-execute",
        "#i",
        "größer 写真",
        "2026",
        "0100",
        "$j @k",
    )
    names = ("a, b|c]}", "{x=[y]}", "[z", "| ,", "-Name=x", "<&>")
    regions = tuple(
        Region(f"eyeline-{number}", name, Rectangle(0.1, 0.2, 0.3, 0.4), ("areaOfInterest",))
        for number, name in enumerate(names)
    )
    annotation = Annotation(1, keywords, (), regions, "parameters, with | and } and ]; end")
    outcome = write(exiftool, photo, annotation, orientation=1)
    stored = {region.id: (0.1, 0.2, 0.3, 0.4) for region in regions}
    assert differences(decided(annotation, stored), read(reader)(outcome.sidecar)) == []


def test_the_worked_example_means_what_the_contract_s_file_means(
    exiftool: ExifTool, photo: Path, shared: Path
) -> None:
    """Property by property as example.xmp, but for the record that our history event carries besides."""
    ours = dict(parse(write(exiftool, photo).sidecar.read_bytes(), photo).properties)
    example = shared / "standards" / "example.xmp"
    theirs = dict(parse(example.read_bytes(), example).properties)
    history = "http://ns.adobe.com/xap/1.0/mm/History"
    assert EXAMPLE.parameters in repr(ours.pop(history))
    assert EXAMPLE.parameters in repr(theirs.pop(history))
    assert ours == theirs
