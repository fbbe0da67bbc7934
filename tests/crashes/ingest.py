"""One ingest by the real daemon, killed at random moments, and what is compared afterwards."""

from __future__ import annotations

import hashlib
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from eyeline.ledger import Ledger
from eyeline.sidecar.meaning import canonical, parse
from eyeline.sidecar.naming import TEMPORARY_PREFIX
from tests.cli.conftest import SHOOT, environment

SETTINGS = """\
quiet_seconds = 0
sitting_quiet_seconds = 0.5
longest_unwritten_seconds = 3
workers = 2
"""
"""Written often, while others are still measured, so that a kill meets every phase."""

LONGEST_SECONDS = 600
"""Patience with one step of an ingest on a busy machine; no result depends on it."""

QUIET_SECONDS = 4
"""Without a change in any sidecar: longer than the daemon waits before it writes."""

WATCHED_SECONDS = 60
"""How long a kill that is meant for a write waits for one."""

LOOKS_BETWEEN_QUESTIONS = 1000
"""For a working copy, between two questions whether anything is still to be written."""

LONGEST_DELAY_SECONDS = 6
"""Random kills fall into so many seconds after the one before."""

TARGETS = ("daemon", "worker", "worker", "ExifTool")

_DATES = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:[+-]\d\d:\d\d|Z)?")

_WORDS = re.compile(r'(?<=keywords\\":\[)[^\]]*')
"""The words in the record inside a history event: JSON inside JSON."""


@dataclass(frozen=True, slots=True)
class Kill:
    """`phase`: WRITING when a working copy lay there at the moment of death, else how far the ingest was."""

    target: str
    phase: str


WRITING = "between temporary file and rename"


@dataclass(slots=True)
class Ingest:
    """`count` frames of the bundled shoot in a folder, a home of its own, and a daemon that can be killed."""

    home: Path
    count: int
    kills: list[Kill] = field(default_factory=list)
    died_by_itself: int = 0
    _process: subprocess.Popen[str] | None = None

    @property
    def card(self) -> Path:
        return self.home / "card"

    @property
    def ledger(self) -> Path:
        return self.home / ".local" / "share" / "eyeline" / "ledger.sqlite3"

    @property
    def temporary(self) -> Path:
        """Where the daemon and all that it starts put temporary files."""
        return self.home / "tmp"

    def arrive(self) -> None:
        self.card.mkdir(parents=True)
        self.temporary.mkdir()
        (self.home / "config.toml").write_text(SETTINGS)
        for frame in sorted(SHOOT.glob("*.jpg"))[: self.count]:
            shutil.copy(frame, self.card / frame.name)

    def start(self) -> None:
        (self.home / "out.txt").unlink(missing_ok=True)
        with (self.home / "out.txt").open("a") as out, (self.home / "err.txt").open("a") as err:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "eyeline", "watch", self.card, "--config", self.home / "config.toml"],
                env=environment(self.home) | {"TMPDIR": os.fspath(self.temporary)},
                stdout=out,
                stderr=err,
                text=True,
            )

    def finish(self) -> None:
        """Let the daemon go on until every photo has its sidecar and it is quiet; then stop it cleanly."""
        self._wait(lambda: len(list(self.card.glob("*.xmp"))) == self.count)
        self._wait(self._is_quiet)
        self._wait(lambda: "Watching" in (self.home / "out.txt").read_text())  # and so minds signals
        assert self._process is not None
        self._process.send_signal(signal.SIGTERM)
        code = self._process.wait(timeout=LONGEST_SECONDS)
        assert code == 0, (code, (self.home / "err.txt").read_text()[-2000:])

    def end(self) -> None:
        """Whatever happened: leave no process."""
        if self._process is not None and self._process.poll() is None:
            self._process.kill()
            self._process.wait()

    def kill(self, chance: random.Random, aimed: bool) -> None:
        """Kill the daemon, a worker or ExifTool. `aimed`: while a working copy lies beside a sidecar."""
        assert self._process is not None
        target = chance.choice(("daemon", "ExifTool") if aimed else TARGETS)
        if aimed:
            self._halt_in_a_write(chance)
        else:
            time.sleep(chance.uniform(0, LONGEST_DELAY_SECONDS))
        self._start_if_dead()
        victims = {"daemon": [self._process.pid]}.get(target) or list(children(self._process.pid, target))
        if victims:
            with suppress(ProcessLookupError):
                os.kill(chance.choice(victims), signal.SIGKILL)
            self.kills.append(Kill(target, self._phase()))
        self._process.send_signal(signal.SIGCONT)
        if victims and target == "daemon":
            self._process.wait()
            self.start()

    def _halt_in_a_write(self, chance: random.Random) -> None:
        """Have the daemon stand still, SIGSTOP, at a random moment while a working copy lies there; not at
        all where nothing is written any more. A working copy that is gone by then, as on a machine on which
        this process gets the word too late, does not count."""
        assert self._process is not None
        until = time.monotonic() + WATCHED_SECONDS
        look = 0
        while time.monotonic() < until and self._process.poll() is None:
            if self._working_copies():
                time.sleep(chance.uniform(0, 0.02))
                self._process.send_signal(signal.SIGSTOP)
                if self._working_copies():
                    return
                self._process.send_signal(signal.SIGCONT)
            look += 1
            if look % LOOKS_BETWEEN_QUESTIONS == 0 and self.all_written():
                return
            time.sleep(0.0005)

    def results(self) -> dict[str, str]:
        """What each sidecar means, without dates, and words in the record as the set that they are.

        Their order there tells in which order they were first written, which is a matter of timing.
        """
        return {path.name: meaning(path) for path in sorted(self.card.glob("*.xmp"))}

    def faults(self) -> list[str]:
        """What is not as it must be: daemon, ledger, originals, temporary files."""
        with Ledger.reader(self.ledger) as ledger:
            found = [f"the daemon died by itself {self.died_by_itself} times"] if self.died_by_itself else []
            found += [f"ledger: {each}" for each in ledger.check()]
            found += [
                f"not written: {each.path.name} is {each.state}"
                for each in ledger.files.under(self.card)
                if each.state != "written"
            ]
        found += [f"temporary file: {path.name}" for path in self.temporary.iterdir()]
        for path in self.card.iterdir():
            if path.name.startswith("."):
                found.append(f"temporary file: {path.name}")
            elif path.suffix == ".jpg" and _digest(path) != _digest(SHOOT / path.name):
                found.append(f"changed: {path.name}")
        return found

    def _phase(self) -> str:
        if self._working_copies():
            return WRITING
        if "Watching" not in (self.home / "out.txt").read_text():
            return "while the daemon starts"
        with Ledger.reader(self.ledger) as ledger:
            states = [each.state for each in ledger.files.under(self.card)]
        if len(states) < self.count or "arrived" in states:
            return "while photos are measured"
        return "between two sidecars" if "measured" in states else "when all is written"

    def _working_copies(self) -> list[str]:
        return [path.name for path in self.card.iterdir() if path.name.startswith(TEMPORARY_PREFIX)]

    def _is_quiet(self) -> bool:
        before = {path: path.stat().st_mtime_ns for path in self.card.glob("*.xmp")}
        time.sleep(QUIET_SECONDS)
        after = {path: path.stat().st_mtime_ns for path in self.card.glob("*.xmp")}
        return before == after and self.all_written()

    def all_written(self) -> bool:
        """Whether the ledger has every photo as written: nothing is left to be interrupted."""
        if len(list(self.card.glob("*.xmp"))) < self.count:
            return False
        with Ledger.reader(self.ledger) as ledger:
            return all(each.state == "written" for each in ledger.files.under(self.card))

    def _wait(self, holds: Callable[[], bool]) -> None:
        until = time.monotonic() + LONGEST_SECONDS
        while not holds():
            assert time.monotonic() < until, (self.faults(), (self.home / "err.txt").read_text()[-2000:])
            self._start_if_dead()
            time.sleep(0.2)

    def _start_if_dead(self) -> None:
        if self._process is None or self._process.poll() is not None:
            self.died_by_itself += 1
            self.start()


def children(parent: int, kind: str) -> Iterator[int]:
    """Children of `parent` and theirs: ExifTool, or the workers, by their command lines in /proc."""
    with suppress(OSError):
        for task in Path(f"/proc/{parent}/task").iterdir():
            for word in (task / "children").read_text().split():
                child = int(word)
                with suppress(OSError):
                    command = Path(f"/proc/{child}/cmdline").read_bytes()
                    is_exiftool = b"exiftool" in command
                    if (kind == "ExifTool") == is_exiftool and b"resource_tracker" not in command:
                        yield child
                yield from children(child, kind)


def meaning(path: Path) -> str:
    text = " ".join(f"{name}={canonical(value)}" for name, value in parse(path.read_bytes(), path).properties)
    in_order = _WORDS.sub(lambda found: ",".join(sorted(found[0].split(","))), text)
    return _DATES.sub("DATE", in_order)


def _digest(path: Path) -> bytes:
    return hashlib.sha256(path.read_bytes()).digest()


def undisturbed(home: Path, count: int) -> dict[str, str]:
    """What an ingest that nobody kills comes to."""
    ingest = Ingest(home, count)
    try:
        ingest.arrive()
        ingest.start()
        ingest.finish()
    finally:
        ingest.end()
    assert ingest.faults() == []
    return ingest.results()


def disturbed(home: Path, count: int, kills: int, seed: int) -> Ingest:
    """An ingest with so many kills, half of them aimed at a write; finished, for inspection."""
    chance = random.Random(seed)
    ingest = Ingest(home, count)
    try:
        ingest.arrive()
        ingest.start()
        attempts = 0
        while len(ingest.kills) < kills and attempts < 4 * kills and not ingest.all_written():
            ingest.kill(chance, aimed=attempts % 2 == 0)
            attempts += 1
        ingest.finish()
    finally:
        ingest.end()
    return ingest
