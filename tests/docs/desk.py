"""The desk on which the docs' commands run: a home of its own with a measured shoot, a terminal, and one
processor, whatever the machine has.

The home is shown as HOME_SHOWN and is as many characters long, so that lines fold where they fold on the
page.
"""

from __future__ import annotations

import io
import os
import secrets
import shlex
import shutil
import signal
import subprocess
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import chdir, contextmanager, redirect_stderr, redirect_stdout
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from unittest import mock

from eyeline.cli.main import main
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.terms.file_status import FileStatus
from eyeline.workers.examine import Examined
from tests.waiting import PATIENCE_SECONDS

HOME_SHOWN = "/home/anna"
TEMPORARY = Path("/tmp")
SHOOT = "shoots/monday"
"""Where the bundled shoot lies in that home, all of it measured."""


CTRL_C = "^C"
"""What a terminal shows where somebody stops a program that goes on for ever."""


class Terminal(io.StringIO):
    """A stream with somebody before it, who has seen enough when `is_enough` says so of what is printed."""

    def __init__(self, is_enough: Callable[[str], bool] | None = None) -> None:
        super().__init__()
        self._is_enough = is_enough
        if is_enough is not None:
            self._patience = threading.Timer(PATIENCE_SECONDS, self._stop)
            self._patience.start()

    def isatty(self) -> bool:
        return True

    def write(self, text: str) -> int:
        """Print; Ctrl-C once enough is printed."""
        count = super().write(text)
        printed = self.getvalue()
        if self._is_enough is not None and printed.endswith("\n") and self._is_enough(printed):
            self._stop()
        return count

    def _stop(self) -> None:
        if self._is_enough is not None:
            self._is_enough = None
            self._patience.cancel()
            super().write(f"{CTRL_C}\n")
            os.kill(os.getpid(), signal.SIGINT)


_found = shutil.which


def _which(name: str, *where: Any, **how: Any) -> str | None:
    """As shutil.which, on a machine on whose path eyeline is not: it is called as the page calls it."""
    return None if name == "eyeline" else _found(name, *where, **how)


@contextmanager
def desk(shoot: Sequence[Examined]) -> Iterator[Desk]:
    """A desk with copies of the photos of `shoot`, measured as they were."""
    home = TEMPORARY / secrets.token_hex(8)[: len(HOME_SHOWN) - len(str(TEMPORARY)) - 1]
    home.mkdir(mode=0o700)
    try:
        made = Desk(home)
        made.lay_out(shoot)
        yield made
    finally:
        shutil.rmtree(home)


class Desk:
    """Runs commands at home and tells what they print."""

    def __init__(self, home: Path) -> None:
        self.home = home

    def lay_out(self, shoot: Sequence[Examined]) -> None:
        """Copy the photos, and enter into the ledger what was measured in them."""
        folder = self.home / SHOOT
        folder.mkdir(parents=True)
        now = datetime.now(UTC)
        with Ledger(self.home / ".local/share/eyeline/ledger.sqlite3", now) as ledger, ledger.transaction():
            for each in shoot:
                path = Path(shutil.copy2(each.frame.path, folder))
                status, frame = FileStatus.of(path.stat()), each.frame
                ledger.files.remember(path, status, now)
                ledger.photos.record(
                    Photo(
                        frame=frame,
                        measurements=tuple(each.measurements.values()),
                        points=each.points,
                        why_sitter=each.why_sitter,
                        milliseconds={},
                        measured_at=now,
                        measures_edition=MEASURES_EDITION,
                    )
                )
                ledger.files.measured(path, status, frame.digest, frame.orientation, now)

    def run(self, command: str, until: Callable[[str], bool] | None = None) -> str:
        """What `command` prints, on either stream, with the home as it is shown; a command that goes on for
        ever is stopped by Ctrl-C when `until` says so of that. Commands other than eyeline's are bash's own
        affair."""
        enough = None if until is None else lambda printed: until(self._shown(printed))
        words = shlex.split(command, comments=True) if "\n" not in command else []
        called = words[0] if words and Path(words[0]).name == "eyeline" else None
        assert called is None or not {"|", ">", ";", "&&"} & set(words), "no shell stands around eyeline here"
        printed = self._shell(command) if called is None else self._eyeline(called, words[1:], enough)
        return self._shown(printed)

    def _shown(self, printed: str) -> str:
        return printed.replace(str(self.home), HOME_SHOWN)

    @property
    def _environment(self) -> dict[str, str]:
        kept = {name: value for name, value in os.environ.items() if not name.startswith("XDG_")}
        return kept | {"HOME": str(self.home), "COLUMNS": "80", "TERM": "dumb", "LC_ALL": "C.UTF-8"}

    def _eyeline(self, called: str, words: Sequence[str], enough: Callable[[str], bool] | None) -> str:
        terminal = Terminal(enough)
        handlers = {
            number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
        }
        home = f"{self.home}/"
        arguments = [home + word.removeprefix("~/") if word.startswith("~/") else word for word in words]
        with (
            mock.patch.dict(os.environ, self._environment, clear=True),
            mock.patch("sys.stdin", io.StringIO()),
            mock.patch("sys.argv", [called]),
            mock.patch("shutil.which", _which),
            mock.patch("os.sched_getaffinity", lambda _: {0}, create=True),
            chdir(self.home),
            redirect_stdout(terminal),
            redirect_stderr(terminal),
        ):
            try:
                main(arguments)
            except SystemExit as ended:  # argparse ends the program after --help and usage errors
                assert ended.code in (0, 2)
            finally:
                for number, handler in handlers.items():
                    signal.signal(number, handler)
        return terminal.getvalue()

    def _shell(self, command: str) -> str:
        ran = subprocess.run(
            ["bash", "-c", command],
            cwd=self.home,
            env=self._environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            check=False,
        )
        return ran.stdout
