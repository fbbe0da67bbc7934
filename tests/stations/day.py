"""A day at a studio with three machines: photos on one NAS, daemon, scheduler, two stations, and kills."""

from __future__ import annotations

import hashlib
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from PIL import Image

from eyeline.errors import LedgerFailed
from eyeline.ledger import Ledger
from eyeline.ledger.records import State
from eyeline.stations.certificates import make_certificates
from tests.cli.conftest import SHOOT, environment
from tests.crashes.ingest import children, meaning
from tests.stations.hosts import Host
from tests.waiting import PATIENCE_SECONDS

PORT = 8786
LONG_SIDE_PX = 480
"""Small photos: what is tried is who does what, not measuring."""

PHOTOS_A_FOLDER = 20
LONGEST_SECONDS = 3_000
LONGEST_PAUSE_SECONDS = 20.0
"""Between two kills: time enough for what was killed to come back and measure, now and then."""

SETTINGS = """\
quiet_seconds = 0
sitting_quiet_seconds = 4
longest_unwritten_seconds = 3600
previews_gb = 0
[workers]
count = {processes}
"""

STATIONS = """\
engine = "dask"
scheduler = "tls://{address}:{port}"
certificates = "{certificates}"
"""


def make_photos(folder: Path, count: int) -> dict[Path, str]:
    """So many different small photos in `folder`, twenty a sitting; their digests by path."""
    frames = sorted(SHOOT.glob("*.jpg"))
    digests = {}
    for number in range(count):
        place = folder / f"{number // PHOTOS_A_FOLDER:03}"
        place.mkdir(parents=True, exist_ok=True)
        with Image.open(frames[number % len(frames)]) as opened:
            exif = opened.info.get("exif", b"")
            opened.thumbnail((LONG_SIDE_PX, LONG_SIDE_PX))
            pixels = np.array(opened.convert("RGB"))
        pixels[:8, :64] = np.random.default_rng(number).integers(0, 255, (8, 64, 3))
        path = place / f"IMG_{number:04}.jpg"
        Image.fromarray(pixels).save(path, quality=92, exif=exif)
        digests[path] = hashlib.sha256(path.read_bytes()).hexdigest()
    return digests


@dataclass(slots=True)
class Day:
    """`photos` under `shoot`, measured by stations on `hosts`: `each` chair with so many processes, for the
    daemon and the scheduler of the studio. Without hosts, by one machine."""

    home: Path
    shoot: Path
    photos: Mapping[Path, str]
    hosts: Mapping[str, Host] = field(default_factory=dict)
    each: int = 2
    kills: Counter[str] = field(default_factory=Counter)
    processes: dict[str, subprocess.Popen[str]] = field(default_factory=dict)

    def prepare(self) -> None:
        self.home.mkdir(parents=True)
        settings = SETTINGS.format(processes=self.each)
        if self.hosts:
            make_certificates(self.home / "authority", list(self.hosts))
            address = self.hosts["studio"].address
            certificates = self.home / "authority" / "studio"
            settings += STATIONS.format(address=address, port=PORT, certificates=certificates)
        (self.home / "config.toml").write_text(settings)

    def start(self, name: str) -> None:
        host = self.hosts.get("studio" if name in ("daemon", "scheduler") else name)
        if name == "daemon":
            words = ["watch", self.shoot, "--config", self.home / "config.toml"]
        else:
            assert host is not None
            address = f"tls://{self.hosts['studio'].address}:{PORT}"
            words = ["workers", "scheduler" if name == "scheduler" else "start", address]
            words += ["--certificates", self.home / "authority" / host.name]
        if name.startswith("chair") and host is not None:
            (place,) = host.mounts
            words += ["--map", f"{self.shoot}={place}", "--count", str(self.each)]
        log, environs = self.home / f"{name}.txt", environment(self.home)
        if host is not None:
            self.processes[name] = host.start(words, log, environs)
            return
        with log.open("a") as out:
            self.processes[name] = subprocess.Popen(
                [sys.executable, "-m", "eyeline", *words], env=environs, stdout=out, stderr=out, text=True
            )

    def start_all(self) -> None:
        self.prepare()
        for name in ("scheduler", *self.chairs, "daemon") if self.hosts else ("daemon",):
            self.start(name)

    @property
    def chairs(self) -> list[str]:
        return [name for name in self.hosts if name.startswith("chair")]

    def targets(self) -> list[str]:
        """What can be killed."""
        return ["daemon", "scheduler", *self.chairs, *(f"a process of {chair}" for chair in self.chairs)]

    def kill(self, chance: random.Random) -> None:
        """Kill one of all, at once; a service manager would start it again, and so does this."""
        victims: list[int] = []
        while not victims:  # a station's processes start with its first photo
            target = chance.choice(self.targets())
            name = target.removeprefix("a process of ")
            process = self.processes[name]
            victims = [process.pid] if target == name else list(children(process.pid, "worker"))
            time.sleep(0.05)
        with suppress(ProcessLookupError):
            os.kill(chance.choice(victims), signal.SIGKILL)
        self.kills[target] += 1
        if target == name:
            process.wait()
            time.sleep(chance.uniform(0, 2))
            self.start(name)

    def disturb(self, kills: int, seed: int, longest_pause_s: float = LONGEST_PAUSE_SECONDS) -> None:
        """Kill so many times, or until all is written: two of three when so many photos are through that
        kills are spread over the day, the third soon after the one before, while things start again."""
        chance = random.Random(seed)
        through = sorted(chance.sample(range(len(self.photos)), min(kills, len(self.photos))))
        while self.kills.total() < kills and not self.is_written():
            number = self.kills.total()
            while number % 3 and self.measured() < through[number]:
                time.sleep(0.5)
            time.sleep(chance.uniform(0, longest_pause_s))
            self.kill(chance)

    def finish(self) -> None:
        """Wait until all is written and stays so; stop every process cleanly."""
        until = time.monotonic() + LONGEST_SECONDS
        while not (self.is_written() and self._is_quiet()):
            assert time.monotonic() < until, self.told()
            died = [name for name, each in self.processes.items() if each.poll() is not None]
            assert not died, (died, self.told())
            time.sleep(0.5)
        self.end(signal.SIGTERM)

    def end(self, how: int = signal.SIGKILL) -> None:
        """Leave no process."""
        for name in ("daemon", *self.chairs, "scheduler"):
            process = self.processes.pop(name, None)
            if process is None:
                continue
            process.send_signal(how)
            try:
                code = process.wait(PATIENCE_SECONDS)
            except subprocess.TimeoutExpired:
                process.kill()
                code = process.wait()
            assert how == signal.SIGKILL or code == 0, (name, code, self.told())

    def written(self) -> int:
        return len(list(self.shoot.rglob("*.xmp")))

    def measured(self) -> int:
        """How many are measured, none as long as there is no ledger."""
        try:
            with Ledger.reader(self.ledger) as ledger:
                states = [each.state for each in ledger.files.under(self.shoot)]
        except LedgerFailed:
            return 0
        return sum(state in (State.MEASURED, State.WRITTEN) for state in states)

    def is_written(self) -> bool:
        return self.written() == len(self.photos) and not self.unwritten()

    def unwritten(self) -> list[str]:
        with Ledger.reader(self.ledger) as ledger:
            return [f"{each.path.name} is {each.state}" for each in ledger.files.under(self.shoot)
                    if each.state != "written"]  # fmt: skip

    @property
    def ledger(self) -> Path:
        return self.home / ".local" / "share" / "eyeline" / "ledger.sqlite3"

    def results(self) -> dict[str, str]:
        """What each sidecar means."""
        return {str(path.relative_to(self.shoot)): meaning(path) for path in self.shoot.rglob("*.xmp")}

    def faults(self) -> list[str]:
        """What is not as it must be: ledger, states, originals, other files, sidecars written in vain."""
        with Ledger.reader(self.ledger) as ledger:
            found = [f"ledger: {each}" for each in ledger.check()]
        found += [f"not written: {each}" for each in self.unwritten()]
        for path, digest in self.photos.items():
            if hashlib.sha256(path.read_bytes()).hexdigest() != digest:
                found.append(f"changed: {path.name}")
        kept = {path for photo in self.photos for path in (photo, photo.with_suffix(".xmp"))}
        found += [f"left: {path}" for path in self.shoot.rglob("*") if path.is_file() and path not in kept]
        found += [f"written {count} times alike: {name}" for name, count in self.written_alike()]
        return found

    def written_alike(self) -> list[tuple[str, int]]:
        """Photos whose sidecar was written anew although its content was there already."""
        ledger = sqlite3.connect(f"file:{self.ledger}?mode=ro", uri=True)
        try:
            return list(
                ledger.execute(
                    "SELECT printable, count(*) FROM decisions WHERE outcome = 'written' "
                    "GROUP BY path, verdict HAVING count(*) > 1"
                )
            )
        finally:
            ledger.close()

    def told(self) -> str:
        return "\n".join(f"{log.name}: {log.read_text()[-1500:]}" for log in sorted(self.home.glob("*.txt")))

    def _is_quiet(self) -> bool:
        before = self._times()
        time.sleep(5)
        return before == self._times()

    def _times(self) -> Mapping[Path, int]:
        return {path: path.stat().st_mtime_ns for path in self.shoot.rglob("*.xmp")}
