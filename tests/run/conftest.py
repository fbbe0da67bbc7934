from collections.abc import Iterator

import pytest

from eyeline.exiftool import ExifTool


@pytest.fixture(scope="session")
def exiftool() -> Iterator[ExifTool]:
    with ExifTool() as tool:
        yield tool
