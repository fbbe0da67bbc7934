"""A socket of this machine on which other programs of the user listen and ask, one JSON object a line.

`{"do": "listen"}` has everything told that happens from then on; every other request gets one line back. Only
the user may connect: the socket lies in a private folder and is private itself (unix(7)).
"""

from __future__ import annotations

import json
import os
import socket
import struct
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from eyeline.errors import EyelineError, message
from eyeline.run.announcements import Announcement, Announcements
from eyeline.run.outlets import json_line

NAME = "eyeline.socket"
"""It lies beside the ledger: one daemon, one ledger, one socket."""

PRIVATE = 0o600
MOST_CLIENTS = 16
LONGEST_REQUEST_BYTES = 256 * 1024
"""Of one line: the paths of some thousand photos."""

SEND_SECONDS = 5.0
"""A listener that takes nothing for so long is let go."""

LONGEST_PATH_BYTES = 100
"""unix(7) allows 108, macOS 104, with the zero at the end."""

Handler = Callable[[Mapping[str, Any]], Mapping[str, Any]]
"""Answers a request. What it raises on purpose (EyelineError) is told to whoever asked."""


@contextmanager
def served(place: Path, announcements: Announcements, handlers: Mapping[str, Handler]) -> Iterator[None]:
    """Serve at `place` until the block ends. `handlers`: by what a request asks to `do`; each is called in a
    thread of its client.

    Raises OSError where nothing can be bound there, also where another daemon serves it.
    """
    server = _Server(place, announcements, handlers)
    try:
        yield
    finally:
        server.close()


def ask(place: Path, request: Mapping[str, Any], timeout_s: float = 30.0) -> dict[str, Any] | None:
    """What the daemon at `place` answers to `request`; None where none listens there.

    Raises OSError where it does not answer in time.
    """
    try:
        connection = connected(place)
    except OSError:
        return None
    with connection as client:
        client.settimeout(timeout_s)
        client.sendall(json.dumps(dict(request), ensure_ascii=True).encode() + b"\n")
        with client.makefile("rb") as answers:
            line = answers.readline(LONGEST_REQUEST_BYTES)
    if not line:
        return None
    answer = json.loads(line)
    return answer if isinstance(answer, dict) else None


def connected(place: Path) -> socket.socket:
    """A connection to the daemon at `place`, to be closed. Raises OSError where none listens there."""
    client = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    try:
        with _short(place) as path:
            client.connect(path)
    except OSError:
        client.close()
        raise
    return client


class _Server:
    def __init__(self, place: Path, announcements: Announcements, handlers: Mapping[str, Handler]) -> None:
        self._place = place
        self._announcements = announcements
        self._handlers = handlers
        self._clients: set[socket.socket] = set()
        self._lock = threading.Lock()
        if ask(place, {"do": "nothing"}, SEND_SECONDS) is not None:
            raise OSError("another daemon serves it")
        place.unlink(missing_ok=True)  # of a daemon that was killed
        self._socket = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        try:
            with _short(place) as path:
                self._socket.bind(path)
            place.chmod(PRIVATE)
            self._identity = place.stat().st_ino
            self._socket.listen(MOST_CLIENTS)
        except OSError:
            self._socket.close()
            raise
        threading.Thread(target=self._accept, name="eyeline-socket", daemon=True).start()

    def close(self) -> None:
        """Let all clients go and take the socket away."""
        with suppress(OSError):
            self._socket.shutdown(socket.SHUT_RDWR)
        self._socket.close()
        with self._lock:
            clients = tuple(self._clients)
        for client in clients:
            with suppress(OSError):
                client.shutdown(socket.SHUT_RDWR)
        with suppress(OSError):
            if self._place.stat().st_ino == self._identity:
                self._place.unlink()

    def _accept(self) -> None:
        while True:
            try:
                client, _ = self._socket.accept()
            except OSError:
                return
            with self._lock:
                is_welcome = len(self._clients) < MOST_CLIENTS
                if is_welcome:
                    self._clients.add(client)
            if not is_welcome:
                client.close()
                continue
            threading.Thread(target=self._serve, args=(client,), name="eyeline-client", daemon=True).start()

    def _serve(self, client: socket.socket) -> None:
        stop_listening: Callable[[], None] | None = None
        try:
            # SO_SNDTIMEO bounds sending alone: a client may be silent for as long as it likes.
            client.setsockopt(socket.SOL_SOCKET, socket.SO_SNDTIMEO, _timeval(SEND_SECONDS))
            with client.makefile("rb") as requests:
                while line := requests.readline(LONGEST_REQUEST_BYTES + 1):
                    if len(line) > LONGEST_REQUEST_BYTES:
                        return
                    request = _request(line)
                    if request is not None and request.get("do") == "listen":
                        if stop_listening is None:
                            stop_listening = self._announcements.subscribe(
                                lambda each: self._send(client, each)
                            )
                        answer: Mapping[str, Any] = {"ok": True}
                    else:
                        answer = self._answer(request)
                    client.sendall(json.dumps(dict(answer), ensure_ascii=True).encode() + b"\n")
        except OSError:
            pass  # it has gone
        finally:
            if stop_listening is not None:
                stop_listening()
            with self._lock:
                self._clients.discard(client)
            client.close()

    def _send(self, client: socket.socket, announcement: Announcement) -> None:
        try:
            client.sendall(json_line(announcement).encode())
        except OSError:
            with suppress(OSError):
                client.shutdown(socket.SHUT_RDWR)

    def _answer(self, request: Mapping[str, Any] | None) -> Mapping[str, Any]:
        if request is None:
            return {"ok": False, "problem": "this is no JSON object on one line", "cure": ""}
        do = request.get("do")
        handler = self._handlers.get(do) if isinstance(do, str) else None
        if handler is None:
            known = ", ".join(sorted({"listen", *self._handlers}))
            return {
                "ok": False,
                "problem": f"nothing is known to do by that name; known are {known}",
                "cure": "",
            }
        try:
            return {"ok": True, **handler(request)}
        except EyelineError as error:
            problem = message(error.what, error.file, "").removesuffix(".")
            return {"ok": False, "problem": problem, "cure": error.cure}
        except Exception as error:  # a request that no handler foresaw ends nothing but itself
            return {"ok": False, "problem": f"it failed ({type(error).__name__}: {error})", "cure": ""}


def _request(line: bytes) -> dict[str, Any] | None:
    try:
        found = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _timeval(seconds: float) -> bytes:
    return struct.pack("@ll", int(seconds), int(seconds % 1 * 10**6))


@contextmanager
def _short(place: Path) -> Iterator[str]:
    """`place` as short as a socket's address must be: by its open folder, where the system knows that way."""
    if len(os.fsencode(place)) <= LONGEST_PATH_BYTES or not Path("/proc/self/fd").is_dir():
        yield str(place)
        return
    folder = os.open(place.parent, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        yield f"/proc/self/fd/{folder}/{place.name}"
    finally:
        os.close(folder)
