"""What is said of files that cannot be read: in words, once, and what to do; no line of a program."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image

from eyeline.cli.words import say_problem
from eyeline.errors import EyelineError, UnreadablePhoto, in_plain_words
from eyeline.exiftool import ExifTool
from eyeline.ledger.records import Problem
from eyeline.reading.open_photo import open_photo

PROGRAM = re.compile(r"<[^<>]*>|\bb['\"]|0x[0-9a-f]{4}|\w\(\)|\?\.|\.\.|Error\b|Traceback")
"""What only means something in source code, and two marks at the end of a sentence."""


def webp() -> bytes:
    target = io.BytesIO()
    Image.new("RGB", (400, 400), "grey").save(target, "WEBP")
    return target.getvalue()


def gif() -> bytes:
    target = io.BytesIO()
    Image.new("RGB", (400, 400), "grey").save(target, "GIF")
    return target.getvalue()


@pytest.mark.parametrize(("made", "name"), [(webp, "WebP"), (gif, "GIF")])
def test_another_format_is_called_by_its_name(exiftool: ExifTool, made: object, name: str) -> None:
    data = made()  # type: ignore[operator]
    with pytest.raises(UnreadablePhoto) as raised:
        open_photo("JPEG", data, Path("IMG_1.jpg"), 1, exiftool)
    assert name in raised.value.what
    assert "save it as JPEG" in raised.value.cure
    assert not PROGRAM.search(str(raised.value))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "HEIF", "RAW"])
@pytest.mark.parametrize(
    "data",
    [
        b"no picture at all" * 9,
        b"\xff\xd8\xff\xe0" + bytes(60),
        b"\x89PNG\r\n\x1a\n" + bytes(60),
        b"II*\0" + bytes(60),
        b"\0\0\0\x18ftypheic" + bytes(60),
    ],
    ids=["text", "JPEG", "PNG", "TIFF", "HEIF"],
)
def test_no_message_holds_a_line_of_a_program(
    exiftool: ExifTool, tmp_path: Path, kind: str, data: bytes
) -> None:
    photo = tmp_path / "IMG_1"
    photo.write_bytes(data)
    with pytest.raises(UnreadablePhoto) as raised:
        open_photo(kind, data, photo, 1, exiftool).decode()
    assert not PROGRAM.search(str(raised.value)), str(raised.value)


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("cannot identify image file <_io.BytesIO object at 0x7fc2323b2660>", "cannot identify image file"),
        ("b'Input/output error'", "Input/output error"),
        ("tjDecompressHeader3(): Not a JPEG file", "Not a JPEG file"),
        ("ends early.", "ends early"),
        ("a\x1b[2J\nb", "a\\x1b[2J\\nb"),
        ("", "ValueError"),
    ],
)
def test_a_library_s_words_without_its_source(said: str, shown: str) -> None:
    assert in_plain_words(ValueError(said)) == shown


def test_a_path_is_said_once_and_a_sentence_ends_once(capsys: pytest.CaptureFixture[str]) -> None:
    error = EyelineError("it is gone.", Path("/card/a.jpg"), "Is the card in?")
    assert str(error) == "/card/a.jpg: it is gone. Is the card in?"
    say_problem(Problem(Path("/card/a.jpg"), str(error), "", datetime.now(UTC)))
    assert capsys.readouterr().err == "eyeline: /card/a.jpg: it is gone. Is the card in?\n"
