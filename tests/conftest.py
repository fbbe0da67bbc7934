"""What several rooms' tests need and the suite pays for once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pytest

from eyeline.exiftool import ExifTool
from tests.accuracy.pipeline import Pair, pairs_of
from tests.accuracy.portraits import shoot


@pytest.fixture(scope="session")
def exiftool() -> Iterator[ExifTool]:
    """One ExifTool process for the whole run."""
    with ExifTool() as tool:
        yield tool


@pytest.fixture(scope="session")
def shoot_pairs() -> Sequence[Pair]:
    """The bundled shoot through the real pipeline, beside its truth; measured once a test run."""
    return tuple(pairs_of(shoot()))
