"""How far more workers go: photos a second by stations, by processes, and by measuring alone.

For each number of workers, in turns: `eyeline run` over few photos and over many of 24 megapixels, with both
engines (stations: a scheduler and one station of this machine, over TLS); the difference is the rate without
what starting costs. `alone` is the machine's own share: so many processes that measure and do nothing else,
no parent, no sidecar. Its own growth is what the machine's cores, caches and memory allow; how much of it an
engine reaches says what handing out, judging and writing cost. Photos lie in folders of 24, as sittings do.
Beside each rate: the processor time of each process, a photo, and how many processors that keeps busy: one
process that comes near 1 is what holds the others up.
"""

from __future__ import annotations

import argparse
import os
import platform
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from unittest.mock import patch

import numpy as np
from PIL import Image

from eyeline.workers.examine import examine_built_in, identify, warm_up
from eyeline.workers.pool import ONE_THREAD
from tests.benchmark.against_floor import FULL_SIZE_PX
from tests.benchmark.by_process import Watched, lines, watch
from tests.benchmark.engines import ENGINES, TOML
from tests.cli.conftest import SHOOT, environment

PHOTOS_A_FOLDER = 24
ALONE = "alone"


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.stations", description=__doc__)
    parser.add_argument("--workers", type=int, nargs="+", default=[1, 2, 4, 8, 16])
    parser.add_argument(
        "--photos", type=int, nargs=2, default=[8, 32], metavar=("FEW", "MANY"), help="for each worker"
    )
    parser.add_argument("--rounds", type=int, default=1)
    arguments = parser.parse_args()
    few, many = arguments.photos
    print(
        f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}, Python {platform.python_version()}; "
        f"{few} and {many} photos a worker, {arguments.rounds} rounds",
        flush=True,
    )
    rates: dict[tuple[int, str], list[float]] = defaultdict(list)
    with tempfile.TemporaryDirectory(prefix="eyeline-scaling-") as name:
        photos = make_photos(Path(name) / "photos", many * max(arguments.workers))
        for number in range(arguments.rounds):
            for workers in arguments.workers:
                ways = (*ENGINES, ALONE)
                for way in ways if number % 2 else reversed(ways):
                    rate, where = _rate(way, workers, photos, few * workers, many * workers, Path(name))
                    rates[workers, way].append(rate)
                    print(f"{workers} workers, {way}: {rate:.2f} photos/s", *where, sep="\n", flush=True)
    for line in _table(arguments.workers, rates):
        print(line)


def make_photos(folder: Path, count: int) -> list[Path]:
    """So many different 24-megapixel JPEGs, in landscape as in portrait, made on every processor."""
    folder.mkdir()
    frames = sorted(SHOOT.glob("*.jpg"))
    jobs = [(frames[number % len(frames)], folder / f"{number:04}.jpg", number) for number in range(count)]
    with ProcessPoolExecutor() as pool:
        return list(pool.map(_make, jobs))


def _make(job: tuple[Path, Path, int]) -> Path:
    source, path, number = job
    with Image.open(source) as opened:
        size = FULL_SIZE_PX if opened.width > opened.height else FULL_SIZE_PX[::-1]
        pixels = np.array(opened.convert("RGB").resize(size, Image.Resampling.BICUBIC))
        exif = opened.info.get("exif", b"")
    pixels[:16, :64] = np.random.default_rng(number).integers(0, 255, (16, 64, 3))
    Image.fromarray(pixels).save(path, quality=92, exif=exif)
    return path


def _rate(
    way: str, workers: int, photos: Sequence[Path], few: int, many: int, folder: Path
) -> tuple[float, list[str]]:
    """Photos a second, and lines that say where the time goes."""
    if way == ALONE:
        return _alone(workers, photos[:many])
    less, more = (_run(way, workers, photos[:count], folder) for count in (few, many))
    return (many - few) / (more.wall_s - less.wall_s), lines(less, more)


def _run(engine: str, workers: int, photos: Sequence[Path], folder: Path) -> Watched:
    """An `eyeline run` over the photos, as a process."""
    home = Path(tempfile.mkdtemp(dir=folder))
    for number, path in enumerate(photos):
        place = home / "shoot" / f"{number // PHOTOS_A_FOLDER:03}"
        place.mkdir(parents=True, exist_ok=True)
        os.link(path, place / path.name)
    (home / "config.toml").write_text(TOML.format(engine=engine, workers=workers))
    command = [sys.executable, "-m", "eyeline", "run", "--config", home / "config.toml", home / "shoot"]
    with (home / "said").open("w+") as said:
        process = subprocess.Popen(
            command, env=environment(home), stdout=subprocess.DEVNULL, stderr=said, text=True
        )
        watched = watch(process, len(photos))
    assert process.returncode == 0, (home / "said").read_text()
    assert len(list(home.rglob("*.xmp"))) == len(photos), "a photo was left out"
    shutil.rmtree(home)
    return watched


def _alone(workers: int, photos: Sequence[Path]) -> tuple[float, list[str]]:
    """Photos a second by so many processes that measure and do nothing else, models loaded."""
    spawn = get_context("spawn")
    with (
        patch.dict(os.environ, ONE_THREAD),
        ProcessPoolExecutor(workers, mp_context=spawn, initializer=warm_up) as pool,
    ):
        list(pool.map(_measure, photos[:workers]))
        start = time.perf_counter()
        used_s = sum(pool.map(_measure, photos))
        wall_s = time.perf_counter() - start
    busy = f"workers {1000 * used_s / len(photos):.1f} ms = {used_s / wall_s:.2f}"
    return len(photos) / wall_s, [f"  a photo, and processors that are busy with it: {busy}"]


def _measure(path: Path) -> float:
    """Measure a photo; processor seconds of it, without its ExifTool's."""
    start_s = time.process_time()
    examine_built_in(identify(path))
    return time.process_time() - start_s


def _table(counts: Sequence[int], rates: dict[tuple[int, str], list[float]]) -> list[str]:
    least = counts[0]
    lines = [
        f"| workers | stations, photos/s | of linear from {least} | processes, photos/s | of linear | "
        "measuring alone, photos/s | of linear | stations of measuring alone | stations of processes |",
        "| --- " * 9 + "|",
    ]
    median = {key: statistics.median(values) for key, values in rates.items()}
    for count in counts:
        cells = [str(count)]
        for way in ("dask", "processes", ALONE):
            rate = median[count, way]
            cells += [f"{rate:.1f}", f"{rate * least / (count * median[least, way]):.2f}"]
        cells += [f"{median[count, 'dask'] / median[count, way]:.2f}" for way in (ALONE, "processes")]
        lines.append(f"| {' | '.join(cells)} |")
    return lines


if __name__ == "__main__":
    main()
