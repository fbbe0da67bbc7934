"""A page beside a daemon of another process, which watches the same folders: it looks on, and writes nothing
but the photographer's own hand.

Two processes may write one sidecar: each reads it again where the other came between (`sidecar.annotate`),
and a field that a person set is theirs whoever looks. So corrections are made here; new frames are the
daemon's.
"""

from __future__ import annotations

import json
import socket
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar

from eyeline.errors import BadConfiguration, EyelineError
from eyeline.run import local_socket
from eyeline.run.announcements import FrameJudged

T = TypeVar("T")

AGAIN_SECONDS = 2.0
"""After so long a daemon that has gone is looked for again."""

LONGEST_LINE_BYTES = 256 * 1024


def daemon_watches(place: Path, folders: Sequence[Path]) -> bool:
    """Whether a daemon of another process serves the socket at `place` and watches all of `folders`.

    Raises BadConfiguration where it watches some of them, or has them in a folder of its own.
    """
    try:
        answer = local_socket.ask(place, {"do": "watched"})
    except OSError:
        return False
    roots = [Path(each) for each in (answer or {}).get("folders", ()) if isinstance(each, str)]
    held = [any(folder.is_relative_to(root) for root in roots) for folder in folders]
    if all(held):
        return True
    if any(held) or any(root.is_relative_to(folder) for root in roots for folder in folders):
        raise BadConfiguration(
            "another eyeline watches a part of these folders",
            cure="Stop it, or name only folders that it watches",
        )
    return False


class Onlooker:
    """Stands where the daemon stands in its own process.

    `judged` is called with the folder of each frame that the daemon tells of, `gone` and `back` when it stops
    and when it is there again.
    """

    def __init__(
        self,
        place: Path,
        judged: Callable[[Path], None],
        gone: Callable[[], None],
        back: Callable[[], None],
        reload_rules: Callable[[], None],
    ) -> None:
        self._place = place
        self._judged, self._gone, self._back = judged, gone, back
        self._reload_rules = reload_rules
        self._writer = ThreadPoolExecutor(1, "corrections")
        self._stopped = threading.Event()
        self._connection: socket.socket | None = None
        self._thread = threading.Thread(target=self._listen, name="onlooker", daemon=True)

    def ask(self, do: Callable[[], T]) -> Future[T]:
        """As `Daemon.ask`: everything that writes is done in one thread."""
        return self._writer.submit(do)

    def sit(self, text: str, folder: Path) -> Mapping[str, Any]:
        """Have the daemon note who sits. Raises EyelineError where it does not."""
        with suppress(OSError):
            answer = local_socket.ask(self._place, {"do": "sitter", "sitter": text, "folder": str(folder)})
            if answer is not None and answer.get("ok"):
                return answer
            if answer is not None:
                raise EyelineError(str(answer.get("problem")), None, str(answer.get("cure")))
        raise EyelineError("nobody watches the folder, so nobody can note who sits", folder, "Start it again")

    def run(self) -> None:
        """Look on until `stop`."""
        self._thread.start()
        self._stopped.wait()
        connection = self._connection
        if connection is not None:
            with suppress(OSError):
                connection.shutdown(socket.SHUT_RDWR)
        self._thread.join()
        self._writer.shutdown()

    def stop(self) -> None:
        """Ask for a stop; may be called from a signal handler or another thread."""
        self._stopped.set()

    def reload(self) -> None:
        """Have the rules read again."""
        self._writer.submit(self._reload_rules)

    def _listen(self) -> None:
        is_there = True
        while not self._stopped.is_set():
            for line in self._lines():
                if not is_there:
                    is_there = True
                    self._back()
                self._hear(line)
            if is_there and not self._stopped.is_set():
                is_there = False
                self._gone()
            self._stopped.wait(AGAIN_SECONDS)

    def _lines(self) -> Iterator[bytes]:
        try:
            with local_socket.connected(self._place) as connection:
                self._connection = connection
                connection.sendall(json.dumps({"do": "listen"}).encode() + b"\n")
                with connection.makefile("rb") as lines:
                    while line := lines.readline(LONGEST_LINE_BYTES):
                        yield line
        except OSError:
            return
        finally:
            self._connection = None

    def _hear(self, line: bytes) -> None:
        with suppress(ValueError):
            told = json.loads(line)
            if told.get("kind") == FrameJudged.kind:
                self._judged(Path(told["file"]).parent)
