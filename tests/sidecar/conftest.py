"""One ExifTool for all tests of the room, and a photo that can be annotated."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from eyeline.exiftool import ExifTool


@pytest.fixture(scope="session")
def exiftool() -> Iterator[ExifTool]:
    with ExifTool() as tool:
        yield tool


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "IMG_1.jpg"
    Image.new("RGB", (60, 40), "grey").save(path)
    return path
