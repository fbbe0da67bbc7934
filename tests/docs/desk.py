"""The desk on which the docs' commands run: a home of its own with a measured shoot, and a terminal.

The home is shown as HOME_SHOWN and is as many characters long, so that lines fold where they fold on the
page.
"""

from __future__ import annotations

import io
import os
import secrets
import shlex
import shutil
import subprocess
from collections.abc import Iterator, Sequence
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

HOME_SHOWN = "/home/anna"
TEMPORARY = Path("/tmp")
SHOOT = "shoots/monday"
"""Where the bundled shoot lies in that home, all of it measured."""


class Terminal(io.StringIO):
    """A stream with somebody before it."""

    def isatty(self) -> bool:
        return True


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

    def run(self, command: str) -> str:
        """What `command` prints, on either stream, with the home as it is shown. Commands other than
        eyeline's are bash's own affair."""
        words = shlex.split(command, comments=True) if "\n" not in command else []
        called = words[0] if words and Path(words[0]).name == "eyeline" else None
        assert called is None or not {"|", ">", ";", "&&"} & set(words), "no shell stands around eyeline here"
        printed = self._shell(command) if called is None else self._eyeline(called, words[1:])
        return printed.replace(str(self.home), HOME_SHOWN)

    @property
    def _environment(self) -> dict[str, str]:
        kept = {name: value for name, value in os.environ.items() if not name.startswith("XDG_")}
        return kept | {"HOME": str(self.home), "COLUMNS": "80", "TERM": "dumb", "LC_ALL": "C.UTF-8"}

    def _eyeline(self, called: str, words: Sequence[str]) -> str:
        terminal = Terminal()
        home = f"{self.home}/"
        arguments = [home + word.removeprefix("~/") if word.startswith("~/") else word for word in words]
        with (
            mock.patch.dict(os.environ, self._environment, clear=True),
            mock.patch("sys.stdin", io.StringIO()),
            mock.patch("sys.argv", [called]),
            mock.patch("shutil.which", _which),
            chdir(self.home),
            redirect_stdout(terminal),
            redirect_stderr(terminal),
        ):
            try:
                main(arguments)
            except SystemExit as ended:  # argparse ends the program after --help and usage errors
                assert ended.code in (0, 2)
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
