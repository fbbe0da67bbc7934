"""eyeline against the least work per photo, in interleaved rounds on the same 24-megapixel JPEGs.

`python -m tests.benchmark.against_floor FLOOR [--photos 24] [--rounds 5] [--write docs/speed.md]`

FLOOR is a script that does the least any program for this job must do per photo (read, hash, one full
decode, one face mesh, one silhouette, EXIF read, one new sidecar) and prints "photos/s". Rates are warm:
models loaded, ExifTool running. Each round times both, one after the other, in turns first, so that what
else the machine does meets both alike; only their ratio says something. Prints tables; asserts no time.
"""

from __future__ import annotations

import argparse
import os
import platform
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from PIL import Image, ImageOps

from eyeline.ledger.records import Photo
from eyeline.run.once import Listener, run_once
from eyeline.run.session import open_session
from eyeline.settings.configuration import Configuration
from eyeline.workers.pool import PHOTOS_WORTH_A_WORKER
from tests.accuracy.portraits import SHOOT
from tests.cli.conftest import environment
from tests.crashes.ingest import children

FULL_SIZE_PX = (6000, 4000)
SMALL_HEAD_SHARE = 0.25
"""Share of the frame's height that the pasted picture takes: heads of 8 to 10 % of it."""

BY_HAND = "<!-- written by hand"
"""From here on the file that is written anew keeps what it has."""

STARTS = 7
"""How often a command's start is timed; the median is shown."""

QUIET = Listener(found=lambda _: None, measured=lambda _: None, decided=lambda *_: None)


@dataclass(frozen=True, slots=True)
class Rate:
    """Photos a second, and milliseconds of processor time a photo in all processes together."""

    a_second: float
    processor_ms: float


@dataclass(slots=True)
class Seen:
    """What the rounds have shown beside their rates.

    `steps`: milliseconds a photo by step in a worker; `decider`: milliseconds a photo from the last measured
    to the last written, in the parent; `worker_mib`: the largest resident size of a worker.
    """

    steps: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    decider: list[float] = field(default_factory=list)
    worker_mib: float = 0.0


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.against_floor", description=__doc__)
    parser.add_argument("floor", type=Path, help="the script that does the least")
    parser.add_argument(
        "--floor-python", default=sys.executable, help="a Python that has what the script needs (mediapipe)"
    )
    parser.add_argument("--photos", type=int, default=24)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--workers", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--write", type=Path, help="also write the text to this file")
    arguments = parser.parse_args()
    lines = []
    for line in _report(arguments):
        print(line, flush=True)
        lines.append(line)
    if arguments.write:
        before = arguments.write.read_text() if arguments.write.exists() else ""
        _, marker, kept = before.partition(BY_HAND)
        arguments.write.write_text("\n".join(lines) + "\n" + ("\n" + marker + kept if marker else ""))


def _report(arguments: argparse.Namespace) -> Iterator[str]:
    yield "# Speed"
    yield ""
    yield (
        f"{arguments.rounds} interleaved rounds of {arguments.photos} JPEGs of {FULL_SIZE_PX[0]} × "
        f"{FULL_SIZE_PX[1]} px on {os.cpu_count()} processors with a load of {os.getloadavg()[2]:.0f} "
        f"({platform.machine()}, Python {platform.python_version()}). "
        "The floor is the least that any program for this job must do for a photo: read, hash, decode once, "
        "one face mesh, one silhouette, read the EXIF, write one sidecar. "
        "`eyeline run` is timed from the first photo to the last sidecar, models loaded. Rates depend on the "
        "machine and on what else it does; the ratios of the two are what to look at, and of these the one "
        "of processor time (all processes of either, ExifTool's too) is the steadier."
    )
    yield ""
    yield (
        "| heads | workers | floor, photos/s | `eyeline run`, photos/s | ratio, median (least to most) | "
        "floor, ms of processor a photo | `eyeline run`, the same | ratio, median (least to most) |"
    )
    yield "| --- | --- | --- | --- | --- | --- | --- | --- |"
    seen = {"large": Seen(), "small": Seen()}
    with tempfile.TemporaryDirectory() as temporary:
        for heads, of_heads in seen.items():
            folder = Path(temporary) / heads
            make_photos(folder, arguments.photos, heads == "small")
            for workers in arguments.workers:
                yield _row(heads, workers, folder, arguments, of_heads)
        yield from _rest(seen, Path(temporary))


def _rest(seen: dict[str, Seen], temporary: Path) -> Iterator[str]:
    yield ""
    yield "## Where the time goes"
    yield ""
    yield (
        "Milliseconds a photo, median: of processor time for each step in a worker; by the clock for the "
        "decider (judging, cropping, merging, proving and replacing the sidecar), which begins when all of a "
        "folder is measured."
    )
    yield ""
    yield f"| step | {' | '.join(f'{heads} heads' for heads in seen)} |"
    yield f"| --- |{' --- |' * len(seen)}"
    for step in next(iter(seen.values())).steps:
        yield f"| {step} | {' | '.join(_median(each.steps[step]) for each in seen.values())} |"
    yield f"| the decider | {' | '.join(_median(each.decider) for each in seen.values())} |"
    yield ""
    yield "## Memory and start"
    yield ""
    yield "| what | figure |"
    yield "| --- | --- |"
    yield f"| largest worker, resident | {max(each.worker_mib for each in seen.values()):.0f} MiB |"
    home = temporary / "home"
    photo = home / "card" / "NL1_1002.jpg"
    photo.parent.mkdir(parents=True)
    shutil.copy(SHOOT / photo.name, photo)
    _command(home, "run", photo)
    for words in (("--help",), ("why", photo)):
        shown = " ".join("FILE" if isinstance(word, Path) else word for word in words)
        seconds, processor = zip(*(_command(home, *words) for _ in range(STARTS)), strict=True)
        yield (
            f"| `eyeline {shown}`, whole process | {statistics.median(seconds):.2f} s, "
            f"of it {statistics.median(processor):.2f} s of processor time |"
        )


def _median(values: Sequence[float]) -> str:
    return f"{statistics.median(values):.1f}" if values else ""


def make_photos(folder: Path, count: int, small: bool) -> None:
    """Frames of the bundled shoot as 24-megapixel JPEGs, in landscape, no two alike."""
    folder.mkdir(parents=True)
    frames = [path for path in sorted(SHOOT.glob("*.jpg")) if _is_landscape(path)][:count]
    for index in range(count):
        with Image.open(frames[index % len(frames)]) as opened:
            picture = ImageOps.exif_transpose(opened).convert("RGB")
        if small:
            high = int(FULL_SIZE_PX[1] * SMALL_HEAD_SHARE)
            pasted = picture.resize((high * picture.width // picture.height, high), Image.Resampling.LANCZOS)
            canvas = picture.resize((2, 1)).resize(FULL_SIZE_PX, Image.Resampling.BICUBIC)
            canvas.paste(pasted, (FULL_SIZE_PX[0] // 3, FULL_SIZE_PX[1] // 3))
        else:
            canvas = picture.resize(FULL_SIZE_PX, Image.Resampling.LANCZOS)
        canvas.paste((index % 256,) * 3, (0, 0, 16, 16))  # the same picture twice would be measured once
        canvas.save(folder / f"{index:03}.jpg", quality=92)


def _is_landscape(path: Path) -> bool:
    with Image.open(path) as picture:
        return bool(ImageOps.exif_transpose(picture).width > picture.height * 1.2)


def _row(heads: str, workers: int, folder: Path, arguments: argparse.Namespace, seen: Seen) -> str:
    floors, ours = [], []
    for number in range(arguments.rounds):
        if number % 2:
            ours.append(eyeline_rate(folder, workers, seen))
        floors.append(floor_rate([arguments.floor_python, arguments.floor], folder, workers))
        if not number % 2:
            ours.append(eyeline_rate(folder, workers, seen))
    shown = [f"{statistics.median(each.a_second for each in rates):.2f}" for rates in (floors, ours)]
    shown.append(_ratio([one.a_second / floor.a_second for one, floor in zip(ours, floors, strict=True)]))
    shown += [f"{statistics.median(each.processor_ms for each in rates):.0f}" for rates in (floors, ours)]
    shown.append(
        _ratio([floor.processor_ms / one.processor_ms for one, floor in zip(ours, floors, strict=True)])
    )
    return f"| {heads} | {workers} | {' | '.join(shown)} |"


def _ratio(ratios: Sequence[float]) -> str:
    return f"{statistics.median(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f})"


def floor_rate(floor: Sequence[str | Path], folder: Path, workers: int) -> Rate:
    """The second of two rounds of the floor script, so that what is loaded late is loaded."""
    command = [*map(str, floor), str(folder), "--workers", str(workers), "--rounds", "2"]
    photos = len(list(folder.glob("*.jpg")))
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as script:
        assert script.stdout is not None
        readings = []
        for line in script.stdout:
            if line.startswith("round:"):
                a_second = float(re.findall(r"([\d.]+) photos/s", line)[0])
                readings.append((a_second, _processor_seconds(script.pid)))
    (_, before), (a_second, after) = readings
    return Rate(a_second, 1000 * (after - before) / photos)


def _processor_seconds(parent: int) -> float:
    """Processor time of `parent` and all below it that live, user and system (proc_pid_stat(5))."""
    ticks = 0
    for process in (parent, *children(parent, "worker"), *children(parent, "ExifTool")):
        with suppress(OSError):
            after_name = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
            ticks += int(after_name[11]) + int(after_name[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def eyeline_rate(folder: Path, workers: int, seen: Seen) -> Rate:
    """`eyeline run` on a fresh copy, workers and ExifTool warm."""
    with tempfile.TemporaryDirectory() as temporary:
        home = Path(temporary)
        warming, timed = home / "warming", home / "timed"
        photos = sorted(folder.glob("*.jpg"))
        _copy((photos * workers)[: PHOTOS_WORTH_A_WORKER * workers], warming)
        _copy(photos, timed)
        # Other image data than the timed copies, or the ledger would know them already.
        for path in warming.iterdir():
            _re_encode(path)
        configuration = replace(
            Configuration(), workers=workers, ledger=home / "ledger.sqlite3", previews=home / "previews"
        )
        decided: list[Photo] = []
        last_measured = 0.0

        def measured(_: Path) -> None:
            nonlocal last_measured
            last_measured = time.perf_counter()

        listener = Listener(lambda _: None, measured, lambda photo, _: decided.append(photo))
        with open_session(
            configuration, [home], (), False, lambda problem: print(problem, file=sys.stderr)
        ) as session:
            run_once(session, [warming], QUIET)
            spent, start = _processor_seconds(os.getpid()), time.perf_counter()
            run_once(session, [timed], listener)
            end, spent = time.perf_counter(), _processor_seconds(os.getpid()) - spent
            seen.worker_mib = max(seen.worker_mib, *map(_largest_mib, children(os.getpid(), "worker")))
        assert len(list(timed.glob("*.xmp"))) == len(photos), "a photo was left out"
        seen.decider.append(1000 * (end - last_measured) / len(photos))
        for photo in decided:
            for step, milliseconds in photo.milliseconds.items():
                seen.steps[step].append(milliseconds)
        return Rate(len(photos) / (end - start), 1000 * spent / len(photos))


def _largest_mib(process_id: int) -> float:
    """The largest resident size that a process has had (VmHWM, proc_pid_status(5)), in MiB."""
    found = re.search(r"VmHWM:\s+(\d+) kB", Path(f"/proc/{process_id}/status").read_text())
    return int(found[1]) / 1024 if found else 0.0


def _copy(photos: Sequence[Path], folder: Path) -> None:
    folder.mkdir()
    for number, photo in enumerate(photos):
        shutil.copy(photo, folder / f"{number:03}{photo.suffix}")


def _re_encode(path: Path) -> None:
    with Image.open(path) as picture:
        picture.load()
    picture.save(path, quality=80)


def _command(home: Path, *words: str | Path) -> tuple[float, float]:
    """Seconds, and seconds of processor time, that a command takes as a process of its own."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "eyeline", *words], capture_output=True, check=True, env=environment(home)
    )
    seconds, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    return seconds, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


if __name__ == "__main__":
    main()
