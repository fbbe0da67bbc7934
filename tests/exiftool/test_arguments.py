"""Nothing a file or a person is called can become an option of ExifTool's."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from eyeline.errors import ExifToolFailed
from eyeline.exiftool import ExifTool
from eyeline.exiftool.arguments import assignment_arguments, path_argument, tag_arguments

HOSTILE_NAMES = [
    b"-execute",
    b"-XMP-xmp:Rating=1",
    b"--",
    b"# comment.jpg",
    b"#[CSTR]x.jpg",
    b"two\nlines.jpg",
    b"two\nlines\n-XMP-xmp:Rating=1",
    b"carriage\rreturn.jpg",
    b"\\n and \\.jpg",
    b"\\\n.jpg",
    b"quotes \"'`.jpg",
    b"$HOME @args %d [x]* {ready}.jpg",
    b"  blanks  ",
    b"latin-1 \xe9\xff.jpg",
    b"\xff\n\xfe.jpg",
    "größer 写真.jpg".encode(),
    b"&#x0a;.jpg",
    b"-ver",
    b"@",
]


@pytest.fixture(scope="module")
def tool() -> Iterator[ExifTool]:
    with ExifTool() as exiftool:
        yield exiftool


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_a_hostile_name_is_a_name_and_nothing_else(tool: ExifTool, tmp_path: Path, name: bytes) -> None:
    path = tmp_path / os.fsdecode(name)
    Image.new("RGB", (7, 5)).save(path, format="JPEG")
    assert tool.read(path, ["File:ImageWidth", "XMP-xmp:Rating"]) == {"File:ImageWidth": "7"}
    tool.edit(path, ["-XMP-xmp:Rating=3"])
    assert tool.read(path, ["XMP-xmp:Rating"]) == {"XMP-xmp:Rating": "3"}
    assert [os.fsencode(found.name) for found in tmp_path.iterdir()] == [name]


def test_a_relative_path_is_made_absolute() -> None:
    assert path_argument(Path("-delete")).startswith(b"/")


def test_a_line_break_beside_a_dollar_is_refused_with_a_cure(tmp_path: Path) -> None:
    """ExifTool's C-string form changes the dollar sign; the wrong file must not be asked for."""
    with pytest.raises(ExifToolFailed, match="Rename"):
        path_argument(tmp_path / "a\n$b.jpg")


@pytest.mark.parametrize(
    "value", ["two\nlines", "-execute", "#x", "a\\nb\n", "{ready}", "$x", "<file", "@x", "100 %"]
)
def test_a_value_arrives_as_it_is(tool: ExifTool, tmp_path: Path, value: str) -> None:
    path = tmp_path / "photo.jpg"
    Image.new("RGB", (7, 5)).save(path)
    tool.edit(path, [f"-XMP-dc:Subject+={value}"])
    (found,) = tool.read(path, ["XMP-dc:Subject"]).values()
    assert found in (value, [value])


@pytest.mark.parametrize(
    "words",
    [
        "-execute",
        "--",
        "-XMP-dc:Subject<=file",
        "-XMP-dc:Subject<$x",
        "-Rating=4",
        "x",
        "",
        "-stay_open",
        "-@",
    ],
)
def test_only_assignments_pass(words: str) -> None:
    with pytest.raises(ValueError, match="not an assignment"):
        assignment_arguments([words])


@pytest.mark.parametrize("tag", ["-execute", "x=1", "a b", "Rating\n-execute", "", "All:"])
def test_only_tag_names_pass(tag: str) -> None:
    with pytest.raises(ValueError, match="not a tag name"):
        tag_arguments([tag])


def test_a_nul_byte_is_refused() -> None:
    with pytest.raises(ValueError, match="NUL"):
        assignment_arguments(["-XMP-dc:Subject=a\0b"])
