"""A page beside a daemon of another process: it looks on, corrects all the same, and measures nothing."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.ledger.ledger import Ledger
from eyeline.pages.review.onlooker import daemon_watches
from eyeline.run import local_socket
from tests.cli.conftest import SHOOT, copy_frames
from tests.pages.review.conftest import OTHERS, SERIES, Page, reviewed
from tests.sidecar.readers import by_exiftool
from tests.waiting import wait_until


@pytest.fixture(scope="module")
def both(measured_shoot: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Page, Page]]:
    """The page of the daemon, and that of an onlooker, over one folder and one ledger."""
    home = tmp_path_factory.mktemp("both")
    (home / "shoot").mkdir()
    for name in (SERIES[0], OTHERS[0]):
        shutil.copy(SHOOT / name, home / "shoot" / name)
    shutil.copy(measured_shoot / "ledger.sqlite3", home)
    with reviewed(home / "shoot", home) as first:
        first.enter()
        wait_until(lambda: len(list(first.folder.glob("*.xmp"))) == 2)
        with reviewed(home / "shoot", home) as second:
            second.enter()
            wait_until(lambda: second.ask("GET", second.frame(SERIES[0]))[0] == 200)
            yield first, second


def test_what_the_onlooker_corrects_stands_for_both(both: tuple[Page, Page]) -> None:
    first, second = both
    fields = {"state": second.state(SERIES[0]), "stars": "5"}
    assert second.ask("POST", second.frame(SERIES[0]) + "/correct", fields)[0] == 303
    sidecar = (first.folder / SERIES[0]).with_suffix(".xmp")
    assert by_exiftool(sidecar).rating == "5"
    assert b"yours; eyeline gave" in first.ask("GET", first.frame(SERIES[0]))[2]
    conflict = first.ask("POST", first.frame(SERIES[0]) + "/correct", fields | {"stars": "1"})
    assert conflict[0] == 409
    assert by_exiftool(sidecar).rating == "5"


def test_a_new_frame_is_measured_once_and_shown_by_both(both: tuple[Page, Page]) -> None:
    first, second = both
    copy_frames(first.folder, "NL1_1055.jpg")
    wait_until(lambda: second.ask("GET", second.frame("NL1_1055.jpg"))[0] == 200)
    wait_until(lambda: first.ask("GET", first.frame("NL1_1055.jpg"))[0] == 200)
    with Ledger.reader(first.configuration.ledger) as ledger:
        known = ledger.files.known(first.folder / "NL1_1055.jpg")
    assert known is not None
    assert known.attempts == 1


def test_a_daemon_that_watches_a_part_is_in_the_way(both: tuple[Page, Page]) -> None:
    first, _ = both
    place = first.configuration.ledger.with_name(local_socket.NAME)
    assert daemon_watches(place, [first.folder / "below"])
    assert not daemon_watches(place, [first.folder.parent / "elsewhere"])
    with pytest.raises(BadConfiguration):
        daemon_watches(place, [first.folder.parent])
    with pytest.raises(BadConfiguration):
        daemon_watches(place, [first.folder, first.folder.parent / "elsewhere"])
    assert not daemon_watches(place.with_name("nobody"), [first.folder])
