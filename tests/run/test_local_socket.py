"""The socket of this machine: who may connect, what listeners hear, what requests get, who is let go."""

from __future__ import annotations

import json
import select
import socket
import threading
from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from eyeline.errors import BadConfiguration
from eyeline.run import local_socket
from eyeline.run.announcements import Announcements, CardIn, FlashMissed
from eyeline.run.local_socket import LONGEST_REQUEST_BYTES, MOST_CLIENTS, NAME, ask, served
from tests.waiting import PATIENCE_SECONDS

CARD = CardIn(Path("/card"), 61, 4)


def sitter(request: Mapping[str, Any]) -> Mapping[str, Any]:
    if request.get("sitter") == "nobody":
        raise BadConfiguration("nobody is called so", Path("/job"), "Say another")
    return {"sitter": request["sitter"]}


@pytest.fixture
def news() -> Announcements:
    return Announcements()


@pytest.fixture
def place(tmp_path: Path, news: Announcements) -> Iterator[Path]:
    with served(tmp_path / NAME, news, {"sitter": sitter}):
        yield tmp_path / NAME
    assert not (tmp_path / NAME).exists()


def connected(place: Path) -> socket.socket:
    client = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    client.settimeout(PATIENCE_SECONDS)
    client.connect(str(place))
    return client


def test_a_request_gets_one_line_back(place: Path) -> None:
    assert ask(place, {"do": "sitter", "sitter": "17"}) == {"ok": True, "sitter": "17"}
    refused = ask(place, {"do": "sitter", "sitter": "nobody"})
    assert refused == {"ok": False, "problem": "/job: nobody is called so", "cure": "Say another"}
    assert place.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (b"{}", "known are listen, sitter"),
        (b'{"do": ["x"]}', "known are listen, sitter"),
        (b"nonsense", "no JSON object"),
        (b"[1]", "no JSON object"),
        (b"[" * 100_000, "no JSON object"),
        (b'{"do": "sitter"}', "it failed (KeyError"),
    ],
)
def test_what_is_no_request_is_told_so_and_the_line_stays_open(line: bytes, told: str, place: Path) -> None:
    with connected(place) as client, client.makefile("rb") as answers:
        client.sendall(line + b"\n")
        assert told in json.loads(answers.readline())["problem"]
        client.sendall(b'{"do": "sitter", "sitter": "1"}\n')
        assert json.loads(answers.readline())["ok"]


def test_who_listens_hears_what_is_told_from_then_on(place: Path, news: Announcements) -> None:
    news.tell(FlashMissed(Path("/card"), ("1.jpg",)))
    with connected(place) as client, client.makefile("rb") as lines:
        client.sendall(b'{"do": "listen"}\n')
        assert json.loads(lines.readline()) == {"ok": True}
        news.tell(CARD)
        heard = json.loads(lines.readline())
        assert heard["kind"] == "card in" and heard["frames"] == 61 and heard["at"].endswith("+00:00")


def test_a_listener_that_takes_nothing_is_let_go_and_the_others_hear_on(
    tmp_path: Path, news: Announcements, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other one may take as long as it likes here: it is no machine that is measured."""
    monkeypatch.setattr(local_socket, "SEND_SECONDS", 0.2)
    with served(tmp_path / NAME, news, {}), connected(tmp_path / NAME) as hangs, ExitStack() as stack:
        hangs.sendall(b'{"do": "listen"}\n')
        assert json.loads(hangs.recv(100))["ok"], "from now on it is told, and takes nothing"
        monkeypatch.setattr(local_socket, "SEND_SECONDS", PATIENCE_SECONDS)
        listens = stack.enter_context(connected(tmp_path / NAME))
        lines = stack.enter_context(listens.makefile("rb"))
        listens.sendall(b'{"do": "listen"}\n')
        assert json.loads(lines.readline())["ok"]
        heard = []

        def listen() -> None:
            while len(heard) < 1000 and (line := lines.readline()):
                heard.append(line)

        listener = threading.Thread(target=listen)
        listener.start()
        long = CardIn(Path("/card"), 1, 0, ("x" * 2000,))
        for _ in range(1000):
            news.tell(long)
        listener.join(PATIENCE_SECONDS)
        assert len(heard) == 1000
        hung_up = select.poll()
        hung_up.register(hangs, select.POLLHUP)
        assert hung_up.poll(PATIENCE_SECONDS * 1000)
        while hangs.recv(1 << 20):  # what it was sent before, then the end
            pass


def test_too_long_a_line_and_too_many_clients_are_refused(place: Path) -> None:
    with connected(place) as client, pytest.raises(OSError):
        client.sendall(b"x" * (LONGEST_REQUEST_BYTES + 10))
        if client.recv(10) == b"":
            raise OSError
    clients = [connected(place) for _ in range(MOST_CLIENTS + 1)]
    assert clients[-1].recv(10) == b""
    for each in clients:
        each.close()


def test_a_socket_left_by_a_daemon_that_was_killed_is_taken_over_and_one_in_use_is_not(
    tmp_path: Path, news: Announcements, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / NAME
    left = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    left.bind(str(place))
    left.close()
    assert ask(place, {"do": "sitter"}) is None
    monkeypatch.setattr(local_socket, "SEND_SECONDS", PATIENCE_SECONDS)
    with served(place, news, {"sitter": sitter}):
        with pytest.raises(OSError, match="another daemon"), served(place, news, {}):
            pass
        assert ask(place, {"do": "sitter", "sitter": "2"}) == {"ok": True, "sitter": "2"}


def test_a_place_whose_name_is_longer_than_an_address_may_be(tmp_path: Path, news: Announcements) -> None:
    folder = tmp_path / ("long" * 30)
    folder.mkdir()
    with served(folder / NAME, news, {"sitter": sitter}):
        assert ask(folder / NAME, {"do": "sitter", "sitter": "3"}) == {"ok": True, "sitter": "3"}
