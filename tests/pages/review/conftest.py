"""A shoot that was measured and written once, and the page over it, served for real."""

from __future__ import annotations

import http.client
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Thread
from urllib.parse import urlencode

import pytest

from eyeline.ledger.records import Problem
from eyeline.pages.review.reviewing import reviewing
from eyeline.pages.review.spread import key_of
from eyeline.run.once import Listener, run_once
from eyeline.run.session import open_session
from eyeline.settings.configuration import Configuration, load_configuration
from tests.cli.conftest import SHOOT
from tests.waiting import PATIENCE_SECONDS, wait_until

SERIES = ("NL1_1037.jpg", "NL1_1039.jpg", "NL1_1040.jpg", "NL1_1041.jpg")
OTHERS = ("NL1_1000.jpg", "NL1_1004.jpg", "NL1_1008.jpg", "NL1_1019.jpg")
SETTINGS = "quiet_seconds = 0.2\nsitting_quiet_seconds = 0.4\nworkers = 1\n"
KEPT = 'ledger = "ledger.sqlite3"\nrules = "rules"\npreviews = "previews"\n'


@dataclass
class Page:
    """The page under test. `ask`: a request of the browser that was let in; `headers` may say otherwise."""

    folder: Path
    configuration: Configuration
    address: str
    cookie: str = ""
    told: list[Problem] = field(default_factory=list)

    @property
    def host(self) -> str:
        return self.address.split("/")[2]

    def ask(
        self, method: str, path: str, fields: dict[str, str] | None = None, **headers: str | None
    ) -> tuple[int, dict[str, str], bytes]:
        """Status, headers, body. A header that is None is left out; `_` in a name stands for `-`."""
        sent: dict[str, str | None] = {"Host": self.host, "Cookie": self.cookie or None}
        body = None if fields is None else urlencode(fields).encode()
        if method != "GET":
            sent |= {"Origin": f"http://{self.host}", "Content-Length": str(len(body or b""))}
            sent |= {"Content-Type": "application/x-www-form-urlencoded"}
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        connection = http.client.HTTPConnection(self.host, timeout=PATIENCE_SECONDS)
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in sent.items():
            if value is not None:
                connection.putheader(name, value)
        connection.endheaders(body)
        answer = connection.getresponse()
        found = answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
        connection.close()
        return found

    def enter(self) -> None:
        status, headers, _ = self.ask("GET", "/enter/" + self.address.rpartition("/")[2])
        assert status == 200
        self.cookie = headers["set-cookie"].split(";")[0]

    def frame(self, name: str) -> str:
        """The address of a frame's view."""
        return f"/frame/{key_of(self.folder / name)}"

    def state(self, name: str) -> str:
        """The state on which the page of a frame makes corrections."""
        found = re.search(rb'name="state" value="([0-9a-f]+)"', self.ask("GET", self.frame(name))[2])
        assert found is not None
        return found[1].decode()


@contextmanager
def reviewed(folder: Path, home: Path, settings_text: str = SETTINGS + KEPT) -> Iterator[Page]:
    """The page over `folder`, with a daemon that runs."""
    settings = home / "config.toml"
    settings.write_text(settings_text)
    configuration = load_configuration(settings)
    told: list[Problem] = []
    with (
        open_session(configuration, [folder], (), False, told.append) as session,
        reviewing(session, 0) as (daemon, address),
    ):
        thread = Thread(target=daemon.run)
        thread.start()
        try:
            yield Page(folder, configuration, address, told=told)
        finally:
            daemon.stop()
            thread.join()


@pytest.fixture(scope="session")
def measured_shoot(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home with a shoot in it that was measured and written; not to be changed."""
    home = tmp_path_factory.mktemp("measured")
    (home / "shoot").mkdir()
    for name in (*SERIES, *OTHERS):
        shutil.copy(SHOOT / name, home / "shoot" / name)
    (home / "config.toml").write_text(SETTINGS + KEPT)
    configuration = load_configuration(home / "config.toml")
    with open_session(configuration, [home / "shoot"], (), False, lambda _: None) as session:
        assert run_once(session, [home / "shoot"], Listener(lambda _: None, _nothing, _nothing)) == 0
    return home


def _nothing(*_: object) -> None:
    pass


@pytest.fixture(scope="module")
def page(measured_shoot: Path) -> Iterator[Page]:
    """The page over the measured shoot, one for each file of tests; the browser is inside."""
    with reviewed(measured_shoot / "shoot", measured_shoot) as page:
        page.enter()
        wait_until(lambda: page.ask("GET", page.frame(SERIES[0]))[0] == 200)
        yield page
