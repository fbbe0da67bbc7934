"""What several rooms' tests need and the suite pays for once."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from unittest import mock

import pytest
from hypothesis import settings

from eyeline.exiftool import ExifTool
from tests.accuracy.pipeline import Pair, pairs_of
from tests.accuracy.portraits import shoot

settings.register_profile("ci", max_examples=50, deadline=None, print_blob=True)
settings.register_profile("thorough", max_examples=500, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files that hold slow tests come first, so that no worker is left alone with one of them in the end.
    Each file goes to one worker (`--dist loadfile`), since its fixtures are its own."""
    slow = {item.path for item in items if item.get_closest_marker("slow")}
    items.sort(key=lambda item: item.path not in slow)


@pytest.fixture(scope="session", autouse=True)
def cache_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Small versions of what tests measure lie nowhere in a person's own cache folder."""
    with mock.patch.dict(os.environ, {"XDG_CACHE_HOME": str(tmp_path_factory.mktemp("cache"))}):
        yield


@pytest.fixture(scope="session")
def exiftool() -> Iterator[ExifTool]:
    """One ExifTool process for the whole run."""
    with ExifTool() as tool:
        yield tool


@pytest.fixture(scope="session")
def shoot_pairs() -> Sequence[Pair]:
    """The bundled shoot through the real pipeline, beside its truth; measured once a test run."""
    return tuple(pairs_of(shoot()))
