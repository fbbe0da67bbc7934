"""What several rooms' tests need and the suite pays for once."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from typing import Any
from unittest import mock

import pytest
from hypothesis import HealthCheck, settings
from xdist.scheduler import LoadScopeScheduling

from eyeline.exiftool import ExifTool
from tests.accuracy.pipeline import Pair, pairs_of
from tests.accuracy.portraits import shoot
from tests.stations import every_engine

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
"""Where it is set, each process that a test starts compiles all that it imports: longer than most tests."""

WHATEVER_IT_TAKES = HealthCheck.too_slow
"""Hypothesis gives up over a second in which no example comes: a machine that stalls is no slow strategy."""

settings.register_profile(
    "ci",
    max_examples=30,
    deadline=None,
    print_blob=True,
    derandomize=True,  # each commit is tried on the same examples everywhere; `thorough` finds new ones
    suppress_health_check=[WHATEVER_IT_TAKES],
)
settings.register_profile(
    "thorough", max_examples=500, deadline=None, suppress_health_check=[WHATEVER_IT_TAKES]
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))


TOGETHER = {
    "tests/accuracy/test_shoot.py": "the shoot, measured",
    "tests/sitting/test_shoot.py": "the shoot, measured",
    "tests/docs/test_transcripts.py": "the shoot, measured",
}
"""Files that share what takes long to make go to one process; any other file goes to one alone."""


class ByFile(LoadScopeScheduling):
    """Hands each file to one process, with those that it shares fixtures with, in the order of collection."""

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.partition("::")[0]
        return TOGETHER.get(file, file)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> ByFile:
    config.option.loadscopereorder = False
    return ByFile(config, log)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--engine",
        choices=("processes", "dask"),
        default="processes",
        help="what measures in every test that says nothing else",
    )


def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("--engine") == "dask":
        every_engine.begin()


def pytest_runtest_setup(item: pytest.Item) -> None:
    if item.config.getoption("--engine") == "dask" and item.get_closest_marker("of_processes"):
        pytest.skip("asks for worker processes of this machine")


@pytest.fixture(scope="session", autouse=True)
def stations_where_asked(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[None]:
    """With `--engine dask` a scheduler and a station for the whole run, which say how much they measured."""
    if request.config.getoption("--engine") != "dask":
        yield
        return
    with every_engine.one_station(tmp_path_factory.mktemp("station")) as address:
        yield
        photos = every_engine.measured(address)
        with request.config.pluginmanager.getplugin("capturemanager").global_and_fixture_disabled():
            print(f"\nmeasured by stations: {photos}")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files that hold slow tests come first, so that no process is left alone with one of them in the end."""
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
