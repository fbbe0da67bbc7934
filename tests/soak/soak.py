"""The real daemon over thousands of photos: what it needs of memory, open files and threads, and how long a
photo waits for its sidecar."""

from __future__ import annotations

import io
import math
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from statistics import median

import numpy as np
from PIL import Image

from eyeline.ledger import Ledger
from tests.cli.conftest import SHOOT, environment
from tests.crashes.ingest import children

SETTINGS = """\
quiet_seconds = 0
sitting_quiet_seconds = 0.5
longest_unwritten_seconds = 2
workers = 2
"""
"""Written often, so that the wait of a photo is that of the daemon and not of the configuration."""

WIDTH_PX = 450
"""Of the frames, which are those of the bundled shoot made small: many photos, little time."""

SITTING = 100
"""Photos in one folder."""

MOST_WAITING = 64
"""Photos without a sidecar at a time: the next comes when one has got its own, as at a tethered camera."""

LONGEST_SECONDS = 300
"""Patience with any one photo on a busy machine; no result depends on it."""

_TAKEN_AT, _EXIF_FOLDER = 0x9003, 0x8769  # DateTimeOriginal in the Exif IFD (CIPA DC-008)


@dataclass(frozen=True, slots=True)
class Sample:
    """The daemon at one moment. `photos`: how many had their sidecars; bytes are resident memory."""

    seconds: float
    photos: int
    daemon_bytes: int
    workers_bytes: int
    open_files: int
    threads: int


@dataclass(slots=True)
class Course:
    """Samples, and for each photo in the order of arrival the seconds that it waited."""

    samples: list[Sample] = field(default_factory=list)
    waits: list[float] = field(default_factory=list)

    def drift(self, of: str, after_photos: int = 0) -> float:
        """The mean of `of` in the last quarter of the time, as a share of that in the second quarter.

        `after_photos`: the time begins when so many had their sidecars.
        """
        values = [getattr(each, of) for each in self.samples if each.photos >= after_photos]
        quarter = len(values) // 4
        return float(np.mean(values[-quarter:]) / np.mean(values[quarter : 2 * quarter]))

    def wait_drift(self) -> float:
        """The median wait in the last quarter, as a share of that in the second quarter."""
        quarter = len(self.waits) // 4
        return median(self.waits[3 * quarter :]) / median(self.waits[quarter : 2 * quarter])


def frames(count: int, seed: int = 0) -> Iterator[bytes]:
    """`count` JPEGs, no two with the same pixels, one taken 5 s after the other, each sitting on its day."""
    chance = np.random.default_rng(seed)
    small = []
    for path in sorted(SHOOT.glob("*.jpg")):
        with Image.open(path) as image:
            height = round(WIDTH_PX * image.height / image.width)
            small.append((np.asarray(image.convert("RGB").resize((WIDTH_PX, height))), image.getexif()))
    for number in range(count):
        pixels, exif = small[number % len(small)]
        noisy = pixels.astype(np.int16) + chance.integers(-2, 3, pixels.shape, dtype=np.int16)
        day, place = divmod(number, SITTING)
        taken = datetime(2026, 1, 1, 9) + timedelta(days=day, seconds=5 * place)
        exif.get_ifd(_EXIF_FOLDER)[_TAKEN_AT] = f"{taken:%Y:%m:%d %H:%M:%S}"
        packed = io.BytesIO()
        Image.fromarray(noisy.clip(0, 255).astype(np.uint8)).save(packed, "JPEG", quality=88, exif=exif)
        yield packed.getvalue()


class Watched:
    """A daemon on a folder of its own, and what it needs meanwhile."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.folder = home / "watched"
        self.folder.mkdir(parents=True)
        (home / "config.toml").write_text(SETTINGS)
        self.course = Course()
        self._waiting: dict[Path, tuple[int, float]] = {}
        self._done = 0
        self._sampled = 0.0
        self._out = (home / "out.txt").open("w")
        self._err = (home / "err.txt").open("w")
        self._started = time.monotonic()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "eyeline", "watch", self.folder, "--config", home / "config.toml"],
            env=environment(home),
            stdout=self._out,
            stderr=self._err,
        )

    def arrive_one_by_one(self, count: int, most_seconds: float = math.inf) -> None:
        """Let photos come as fast as they get their sidecars, `count` of them or what comes in time."""
        for number, content in enumerate(frames(count)):
            self._until_at_most(MOST_WAITING - 1)
            if time.monotonic() - self._started > most_seconds:
                break
            folder = self.folder / f"sitting {number // SITTING:03}"
            folder.mkdir(exist_ok=True)
            unnamed = folder / ".arriving"
            unnamed.write_bytes(content)
            photo = unnamed.rename(folder / f"IMG_{number:05}.jpg")
            self._expect(photo)
        self._until_at_most(0)
        self._sampled = 0.0
        self._sample()

    def arrive_at_once(self, count: int) -> None:
        """Move folders of photos in, all in one moment."""
        beside = self.home / "beside"
        for number, content in enumerate(frames(count, seed=1)):
            folder = beside / f"moved {number // SITTING:03}"
            folder.mkdir(parents=True, exist_ok=True)
            (folder / f"IMG_{number:05}.jpg").write_bytes(content)
        moved = beside.rename(self.folder / "moved in at once")
        for photo in sorted(moved.rglob("*.jpg")):
            self._expect(photo)
        self._until_at_most(0)

    def stop(self) -> list[str]:
        """Stop the daemon; what is not as it must be."""
        self._process.send_signal(signal.SIGTERM)
        code = self._process.wait(timeout=LONGEST_SECONDS)
        wrong = [] if code == 0 else [f"the daemon ended with {code}"]
        said = (self.home / "err.txt").read_text()
        wrong += [f"the daemon said: {said[-2000:]}"] if said else []
        with Ledger.reader(self.home / ".local" / "share" / "eyeline" / "ledger.sqlite3") as ledger:
            wrong += ledger.check()
            states = [each.state for each in ledger.files.under(self.folder)]
        wrong += (
            [] if states == ["written"] * self._done else [f"{len(states)} of {self._done} in the ledger"]
        )
        hidden = [path.name for path in self.folder.rglob(".*")]
        return wrong + ([f"left behind: {hidden}"] if hidden else [])

    def end(self) -> None:
        """Whatever happened: leave no process."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()
        self._out.close()
        self._err.close()

    def _expect(self, photo: Path) -> None:
        self._waiting[photo.with_suffix(".xmp")] = len(self.course.waits), time.monotonic()
        self.course.waits.append(float("nan"))

    def _until_at_most(self, waiting: int) -> None:
        progress = time.monotonic()
        while True:
            for sidecar in [each for each in self._waiting if each.exists()]:
                place, arrived = self._waiting.pop(sidecar)
                progress = time.monotonic()
                self.course.waits[place] = progress - arrived
                self._done += 1
            self._sample()
            if len(self._waiting) <= waiting:
                return
            assert self._process.poll() is None, (self.home / "err.txt").read_text()
            assert time.monotonic() - progress < LONGEST_SECONDS, sorted(self._waiting)[:3]
            time.sleep(0.05)

    def _sample(self) -> None:
        now = time.monotonic()
        if now - self._sampled < 1:
            return
        self._sampled = now
        process = self._process.pid
        workers = list(children(process, "worker"))
        status = _status(process)
        self.course.samples.append(
            Sample(
                now - self._started,
                self._done,
                status["VmRSS"] * 1024,
                sum(_status(each).get("VmRSS", 0) * 1024 for each in workers),
                len(os.listdir(f"/proc/{process}/fd")),  # noqa: PTH208 - names are all that is there
                status["Threads"],
            )
        )


def _status(process: int) -> dict[str, int]:
    """The numbers in /proc/PID/status; none for a process that has ended."""
    try:
        lines = Path(f"/proc/{process}/status").read_text().splitlines()
    except OSError:
        return {}
    numbers = (re.fullmatch(r"(\w+):\s+(\d+)(?: kB)?", line) for line in lines)
    return {found[1]: int(found[2]) for found in numbers if found}
