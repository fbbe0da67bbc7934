"""From a file's close to its verdict, while a card pours in: `python -m tests.benchmark.tethered`.

`eyeline watch` runs with two workers on two folders. Into one a card of 24-megapixel JPEGs is copied file by
file; meanwhile frames of the same size come into the other, as a camera on a cable writes them. Each is
written, closed, and waited for until a listener on the daemon's socket hears its early verdict and until the
terminal has its line. Every second frame comes by a rename. Prints seconds by the clock: least, median, ninth
decile, most; asserts nothing.
"""

from __future__ import annotations

import argparse
import json
import os
import queue
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import simplejpeg

from eyeline.run.local_socket import NAME
from tests.benchmark.against_floor import make_photos
from tests.cli.conftest import environment

PAUSE_SECONDS = 1.0
"""Between a verdict and the next frame: nobody shoots while looking at the last one."""

CARD_PAUSE_SECONDS = 0.2
"""Between two files of the card: 24 megapixels of some 8 MB from a card of 40 MB/s."""

WARM = 10
"""Frames of the card after which models are loaded and workers started."""

GOAL_SECONDS = 1.5
"""On two processors with nothing else to do, in the median."""

PATCH_PX = 32

PATIENCE_SECONDS = 120.0


@dataclass(slots=True)
class Heard:
    """Moments, monotonic seconds, by file name: of early verdicts on the socket, of lines in the terminal."""

    early: dict[str, float] = field(default_factory=dict)
    printed: dict[str, float] = field(default_factory=dict)
    of_card: list[float] = field(default_factory=list)
    news: queue.SimpleQueue[str] = field(default_factory=queue.SimpleQueue)


def listen(place: Path, heard: Heard) -> None:
    """Hear early verdicts until the daemon ends."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as client:
        client.connect(str(place))
        client.sendall(b'{"do": "listen"}\n')
        with client.makefile("rb") as lines:
            for line in lines:
                told = json.loads(line)
                if told.get("kind") == "frame judged" and told["early"]:
                    path = Path(told["file"])
                    if path.parent.name == "studio":
                        heard.early[path.name] = time.monotonic()
                    else:
                        heard.of_card.append(time.monotonic())


def read(process: subprocess.Popen[str], heard: Heard) -> None:
    """Read the terminal's lines until the daemon ends."""
    assert process.stdout is not None
    for line in process.stdout:
        for word in line.split():
            if word.startswith("studio/"):
                heard.printed.setdefault(word.removeprefix("studio/"), time.monotonic())
                heard.news.put(word)


def measure(photos: Sequence[Path], home: Path, tethered: int) -> tuple[Heard, dict[str, float], int]:
    """What was heard, when each tethered file was closed, and how many of the card waited in the end."""
    card, studio = home / "card", home / "studio"
    card.mkdir()
    studio.mkdir()
    settings = home / "config.toml"
    settings.write_text("workers = 2\n[tell]\ndesktop = false\n")
    heard, closed = Heard(), dict[str, float]()
    with subprocess.Popen(
        [sys.executable, "-m", "eyeline", "watch", card, studio, "--config", settings],
        env=environment(home),
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as process:
        try:
            place = home / ".local/share/eyeline" / NAME
            end = time.monotonic() + PATIENCE_SECONDS
            while not place.exists() and time.monotonic() < end:
                time.sleep(0.05)
            for target in (lambda: listen(place, heard), lambda: read(process, heard)):
                threading.Thread(target=target, daemon=True).start()
            pouring = threading.Event()
            pouring.set()

            def pour() -> None:
                for number, photo in enumerate(photos[tethered:]):
                    if pouring.is_set():
                        shutil.copyfile(photo, card / f"C{number:04}.jpg")
                        time.sleep(CARD_PAUSE_SECONDS)

            pourer = threading.Thread(target=pour, daemon=True)
            pourer.start()
            while (
                len(heard.of_card) < 10 and time.monotonic() < end
            ):  # models are loaded, the card is under way
                time.sleep(0.1)
            for number in range(tethered):
                name = f"T{number:04}.jpg"
                data = photos[number].read_bytes()
                if number % 2:
                    part = studio / f".{name}.part"
                    part.write_bytes(data)
                    part.rename(studio / name)
                else:
                    (studio / name).write_bytes(data)
                closed[name] = time.monotonic()
                end = time.monotonic() + PATIENCE_SECONDS
                while not (name in heard.early and name in heard.printed) and time.monotonic() < end:
                    time.sleep(0.005)
                time.sleep(PAUSE_SECONDS)
            pouring.clear()
            pourer.join()
            waiting = len(list(card.glob("*.jpg"))) - len(heard.of_card)
        finally:
            process.kill()
    return heard, closed, waiting


def different_photos(made: Path, count: int) -> list[Path]:
    """`count` JPEGs of 24 megapixels, no two alike: a patch in the corner differs, so each is measured."""
    photos = sorted(made.glob("*.jpg"))
    pictures = [simplejpeg.decode_jpeg(path.read_bytes()) for path in photos]
    found = []
    for number in range(count):
        picture = pictures[number % len(pictures)]
        picture[:PATCH_PX, :PATCH_PX] = np.random.default_rng(number).integers(0, 255, 3)
        found.append(made / f"different{number:04}.jpeg")
        found[-1].write_bytes(simplejpeg.encode_jpeg(picture, quality=92, colorsubsampling="420"))
    return found


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.tethered", description=__doc__)
    parser.add_argument("--photos", type=int, default=6, help="frames of the shoot to begin with")
    parser.add_argument("--card", type=int, default=160, help="frames of the card, at most")
    parser.add_argument("--tethered", type=int, default=20, help="frames that are waited for")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        made = Path(temporary) / "made"
        make_photos(made, arguments.photos, small=False)
        photos = different_photos(made, arguments.tethered + arguments.card)
        heard, closed, waiting = measure(photos, Path(temporary), arguments.tethered)
    for what, moments in (("listener", heard.early), ("terminal", heard.printed)):
        waits = sorted(moments[name] - at for name, at in closed.items() if name in moments)
        tenth = waits[int(0.9 * (len(waits) - 1))]
        met = "met" if statistics.median(waits) <= GOAL_SECONDS and len(waits) == len(closed) else "missed"
        print(
            f"close to {what}: n = {len(waits)} of {len(closed)}, least {waits[0]:.2f} s, median "
            f"{statistics.median(waits):.2f} s, ninth decile {tenth:.2f} s, most {waits[-1]:.2f} s; "
            f"goal: all, median {GOAL_SECONDS} s: {met}"
        )
    print(
        f"meanwhile {len(heard.of_card)} frames of the card were judged and {waiting} waited; load "
        f"{os.getloadavg()[0]:.1f} on {os.cpu_count()} processors"
    )


if __name__ == "__main__":
    main()
