"""How cost grows: `python -m tests.benchmark.growth [--photos 100 1000 4000] [--write docs/growth.md]`.

1. finding the sidecar of a photo beside so many others, by one listing of the folder a pass;
2. judging and writing so many measured photos for the first time, and again by force: no photo is opened;
3. `eyeline run` over them when nothing has changed, the whole process, beside `find -printf` over the same.

Photos are invented and entered into the ledger as measured, so that pixels do not hide the rest. Times are
processor time of this process and its children; the two commands of the second table run in interleaved
rounds. Prints tables; asserts no time.
"""

from __future__ import annotations

import argparse
import os
import platform
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.settle import Left, SettledShoots
from eyeline.deciding.shoot import Shoot, shoots
from eyeline.exiftool import ExifTool
from eyeline.intake.catch_up import catch_up
from eyeline.sidecar.naming import Listing
from tests.cli.conftest import environment
from tests.deciding.decider import measured, open_decider

LISTED = (100, 1_000, 5_000, 20_000)
"""Photos, each with a sidecar, in the folder in which one is looked for."""

IN_A_FOLDER = 100
ROUNDS = 5
EYELINE = (sys.executable, "-m", "eyeline")
LOOKED_UP = 100


def processor_s() -> float:
    own, children = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    return own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime


def taken_s(action: Callable[[], object]) -> float:
    before = processor_s()
    action()
    return processor_s() - before


def lookup_row(home: Path, count: int) -> tuple[str, ...]:
    """Milliseconds to list a folder once, and microseconds to find a sidecar in that listing."""
    folder = home / f"listed{count}"
    folder.mkdir()
    photos = [folder / f"IMG_{number:06}.jpg" for number in range(count)]
    for photo in photos:
        photo.touch()
        photo.with_suffix(".xmp").touch()
    listing = Listing.of(folder)
    some = photos[:: max(1, count // LOOKED_UP)][:LOOKED_UP]
    listed = statistics.median(taken_s(lambda: Listing.of(folder)) for _ in range(ROUNDS))
    found = statistics.median(taken_s(lambda: [*map(listing.locate, some)]) for _ in range(ROUNDS))
    return f"{count:,}", f"{1e3 * listed:.1f}", f"{1e6 * found / len(some):.0f}"


def decided(decider: Decider, folder: Path) -> None:
    """A pass that passes nothing over."""
    settled = SettledShoots(decider)
    for shoot in shoots(catch_up([folder]), [folder]):
        assert isinstance(shoot, Shoot)
        before = settled.snapshot(shoot)
        photos = [photo for place in shoot.folders for photo in decider.ledger.photos.in_folder(place)]
        left = [Left.of(decision) for _, decision in decider.decide(photos)]
        settled.settle(shoot, before, left)


def pass_row(home: Path, exiftool: ExifTool, count: int, in_a_folder: int) -> tuple[str, ...]:
    folder = home / "photos"
    with open_decider(home, exiftool) as decider:
        with decider.ledger.transaction():
            for number in range(count):
                measured(decider, folder / f"{number // in_a_folder:05}" / f"IMG_{number:06}.jpg")
        costs = [taken_s(lambda: decided(decider, folder)) for _ in range(2)]
        settings = home / "settings.toml"
        settings.write_text(
            f'ledger = "{decider.ledger.path}"\nrules = "{decider.configuration.rules}"\n'
            'previews = "previews"\n'
        )
    again: list[tuple[float, float]] = []
    found: list[tuple[float, float]] = []
    for _ in range(ROUNDS):
        again.append(
            timed([sys.executable, "-m", "eyeline", "run", "--config", str(settings), str(folder)], home)
        )
        found.append(timed(["find", str(folder), "-printf", "%p %s %T@\n"], home))
    again_s, again_cpu = (statistics.median(column) for column in zip(*again, strict=True))
    find_s, _ = (statistics.median(column) for column in zip(*found, strict=True))
    per_photo = [f"{1e3 * cost / count:.1f}" for cost in costs]
    where = "one folder" if in_a_folder >= count else f"folders of {in_a_folder}"
    numbers = f"{again_s:.2f}", f"{again_cpu:.2f}", f"{find_s:.3f}", f"{4 * find_s + 2:.2f}"
    return (f"{count:,}", where, *per_photo, *numbers)


def timed(command: Sequence[str], home: Path) -> tuple[float, float]:
    """Seconds that a command takes, and of them of processor time."""
    started, before = time.perf_counter(), processor_s()
    ran = subprocess.run(command, env=environment(home), capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    if command[0] == sys.executable:
        assert "unchanged" in ran.stdout, ran.stdout
    return time.perf_counter() - started, processor_s() - before


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--photos", type=int, nargs="+", default=[100, 1_000, 4_000])
    parser.add_argument("--write", type=Path, metavar="FILE")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as place, ExifTool() as exiftool:
        home = Path(place)
        looked_up = table(
            ("photos in the folder, each with a sidecar", "one listing, ms", "a sidecar found, µs"),
            [lookup_row(home, count) for count in LISTED],
        )
        rows = []
        for count in arguments.photos:
            for in_a_folder in (count, IN_A_FOLDER) if count > IN_A_FOLDER else (count,):
                sub = home / f"{count}-{in_a_folder}"
                sub.mkdir()
                rows.append(pass_row(sub, exiftool, count, in_a_folder))
                print(rows[-1], flush=True)
        passes = table(
            (
                *("photos", "where", "judged and written, ms a photo", "the same again by force, ms a photo"),
                *("`run` when unchanged, s", "of it processor time, s", "`find`, s", "4 × find + 2 s"),
            ),
            rows,
        )
    text = (
        "# How cost grows\n\n"
        f"`python -m tests.benchmark.growth --write docs/growth.md`, on {os.cpu_count()} processors with a "
        f"load of {os.getloadavg()[0]:.0f} ({platform.machine()}, Python {platform.python_version()}); "
        f"medians of {ROUNDS} rounds. Milliseconds a photo are processor time of eyeline's own process, "
        "ExifTool's not counted. Photos are invented and entered as measured: pixels are in "
        "[speed.md](speed.md).\n\n"
        f"{looked_up}\n\n{passes}\n\n"
        "A pass over what is known reads no photo and no sidecar: the ledger keeps of each folder a digest "
        "of all that a pass goes by (status of photos and sidecars, its rows, rules, brief, configuration).\n"
    )
    print(text)
    if arguments.write is not None:
        arguments.write.write_text(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
