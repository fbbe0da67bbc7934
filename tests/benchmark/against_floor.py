"""eyeline against the least work per photo, in interleaved rounds on the same 24-megapixel JPEGs.

`python -m tests.benchmark.against_floor [--floor FILE] [--photos 24] [--rounds 3]`

FILE is a script that does the least any program for this job must do per photo (read, hash, one full
decode, one face mesh, one silhouette, EXIF read, one new sidecar) and prints "photos/s"; without one
only eyeline is timed. Rates are warm: models loaded, ExifTool running. Prints a table; asserts nothing.
"""

from __future__ import annotations

import argparse
import os
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from PIL import Image, ImageOps

from eyeline.ledger.records import Decision, Photo
from eyeline.run.configuration import Configuration
from eyeline.run.once import Listener, run_once
from eyeline.run.studio import open_studio
from tests.accuracy.portraits import SHARED, SHOOT

FULL_SIZE_PX = (6000, 4000)
SMALL_HEAD_SHARE = 0.25
"""Share of the frame's height that the pasted picture takes: heads of 8 to 10 % of it."""

QUIET = Listener(found=lambda _: None, measured=lambda _: None, decided=lambda *_: None)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--floor", type=Path, default=SHARED / "bench" / "floor.py")
    parser.add_argument("--photos", type=int, default=24)
    parser.add_argument("--rounds", type=int, default=3)
    arguments = parser.parse_args()
    print("| heads | workers | floor, photos/s | eyeline, photos/s | ratio, median (min to max) |")
    print("| --- | --- | --- | --- | --- |")
    steps: dict[str, list[float]] = defaultdict(list)
    with tempfile.TemporaryDirectory() as temporary:
        for heads in ("large", "small"):
            folder = Path(temporary) / heads
            make_photos(folder, arguments.photos, heads == "small")
            for workers in (1, 2):
                print(_row(heads, workers, folder, arguments, steps), flush=True)
    print("\n| step | median ms a photo |\n| --- | --- |")
    for step, milliseconds in steps.items():
        print(f"| {step} | {statistics.median(milliseconds):.1f} |")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"\nLargest worker: {peak:.0f} MiB resident.")
    for words in (["--help"], ["why", "--help"]):
        print(f"eyeline {' '.join(words)}: {_start_up(words):.2f} s (median of 5, whole process)")


def make_photos(folder: Path, count: int, small: bool) -> None:
    """Frames of the bundled shoot as 24-megapixel JPEGs, in landscape."""
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
        canvas.save(folder / f"{index:03}.jpg", quality=92)


def _is_landscape(path: Path) -> bool:
    with Image.open(path) as picture:
        return bool(ImageOps.exif_transpose(picture).width > picture.height * 1.2)


def _row(
    heads: str, workers: int, folder: Path, arguments: argparse.Namespace, steps: dict[str, list[float]]
) -> str:
    floors, ours = [], []
    for _ in range(arguments.rounds):
        if arguments.floor.is_file():
            floors.append(floor_rate(arguments.floor, folder, workers))
        ours.append(eyeline_rate(folder, workers, steps))
    shown = f"{statistics.median(ours):.2f}"
    if not floors:
        return f"| {heads} | {workers} | not at hand | {shown} | |"
    ratios = [one / floor for one, floor in zip(ours, floors, strict=True)]
    return (
        f"| {heads} | {workers} | {statistics.median(floors):.2f} | {shown} | "
        f"{statistics.median(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f}) |"
    )


def floor_rate(floor: Path, folder: Path, workers: int) -> float:
    """Photos a second of one round of the floor script."""
    ran = subprocess.run(
        [sys.executable, floor, folder, "--workers", str(workers), "--rounds", "1"],
        capture_output=True,
        text=True,
        check=True,
    )
    return float(re.findall(r"([\d.]+) photos/s", ran.stdout)[-1])


def eyeline_rate(folder: Path, workers: int, steps: dict[str, list[float]]) -> float:
    """Photos a second of `eyeline run` on a fresh copy, workers and ExifTool warm."""
    with tempfile.TemporaryDirectory() as temporary:
        home = Path(temporary)
        warming, timed = home / "warming", home / "timed"
        photos = sorted(folder.glob("*.jpg"))
        _copy(photos[: 2 * workers], warming)
        _copy(photos, timed)
        # Other image data than the timed copies, or the ledger would know them already.
        for path in warming.iterdir():
            _re_encode(path)
        configuration = replace(Configuration(), workers=workers, ledger=home / "ledger.sqlite3")
        measured: list[Photo] = []

        def decided(photo: Photo, _: Decision) -> None:
            measured.append(photo)

        with open_studio(
            configuration, [home], (), False, lambda problem: print(problem, file=sys.stderr)
        ) as studio:
            run_once(studio, [warming], QUIET)
            start = time.perf_counter()
            run_once(studio, [timed], replace(QUIET, decided=decided))
            seconds = time.perf_counter() - start
        assert len(list(timed.glob("*.xmp"))) == len(photos), "a photo was left out"
        for photo in measured:
            for step, milliseconds in photo.milliseconds.items():
                steps[step].append(milliseconds)
        return len(photos) / seconds


def _copy(photos: Sequence[Path], folder: Path) -> None:
    folder.mkdir()
    for photo in photos:
        shutil.copy(photo, folder / photo.name)


def _re_encode(path: Path) -> None:
    with Image.open(path) as picture:
        picture.load()
    picture.save(path, quality=80)


def _start_up(words: list[str]) -> float:
    seconds = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "eyeline", *words], capture_output=True, check=True, env=os.environ
        )
        seconds.append(time.perf_counter() - start)
    return statistics.median(seconds)


if __name__ == "__main__":
    main()
