"""What stations cost beside processes, on one machine: processor time a photo, both engines in turns.

A whole `eyeline run` is measured, with all that it started, over few photos and over many of 24 megapixels;
the difference is what a photo costs, without what starting costs. Only the ratios of one run say something.
At the end the median of each process's part of it.
"""

from __future__ import annotations

import argparse
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections import defaultdict
from pathlib import Path

from tests.benchmark.against_floor import make_photos
from tests.benchmark.by_process import PARTS, Watched, more_ms, watch
from tests.cli.conftest import environment

ENGINES = ("processes", "dask")
TOML = 'ledger = "ledger.sqlite3"\npreviews = "previews"\n[workers]\nengine = "{engine}"\ncount = {workers}\n'


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.engines", description=__doc__)
    parser.add_argument("--photos", type=int, nargs=2, default=[6, 30], metavar=("FEW", "MANY"))
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--workers", type=int, default=2)
    arguments = parser.parse_args()
    few, many = arguments.photos
    ratios = []
    by_part: dict[str, list[dict[str, float]]] = defaultdict(list)
    with tempfile.TemporaryDirectory(prefix="eyeline-engines-") as name:
        photos = Path(name) / "photos"
        make_photos(photos, many, small=False)
        for number in range(arguments.rounds):
            each_ms = {}
            for engine in ENGINES if number % 2 else reversed(ENGINES):
                (less_s, less), (more_s, more) = (
                    processor_seconds(Path(name), photos, count, engine, arguments.workers)
                    for count in (few, many)
                )
                each_ms[engine] = 1000 * (more_s - less_s) / (many - few)
                by_part[engine].append(more_ms(less, more))
                print(f"{engine}: {each_ms[engine]:.0f} ms a photo, {less_s:.1f} s for {few}", flush=True)
            ratios.append(each_ms["dask"] / each_ms["processes"])
    print(
        f"stations cost {statistics.median(ratios):.2f} times what processes do "
        f"({min(ratios):.2f} to {max(ratios):.2f}, {len(ratios)} rounds of {many - few} photos)"
    )
    for engine, rounds in by_part.items():
        medians = {part: statistics.median(each.get(part, 0.0) for each in rounds) for part in PARTS}
        print(f"{engine}, ms a photo:", ", ".join(f"{part} {ms:.1f}" for part, ms in medians.items() if ms))


def processor_seconds(
    folder: Path, photos: Path, count: int, engine: str, workers: int
) -> tuple[float, Watched]:
    """Processor time of a pass over `count` of the photos, user and system, with all that it started."""
    home = Path(tempfile.mkdtemp(dir=folder))
    card = home / "card"
    card.mkdir()
    for path in sorted(photos.glob("*.jpg"))[:count]:
        shutil.copy(path, card)
    (home / "config.toml").write_text(TOML.format(engine=engine, workers=workers))
    command = [sys.executable, "-m", "eyeline", "run", "--config", home / "config.toml", card]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    process = subprocess.Popen(
        command, env=environment(home), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    )
    watched = watch(process, count)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert process.returncode == 0, process.stderr and process.stderr.read()
    assert len(list(card.glob("*.xmp"))) == count
    shutil.rmtree(home)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, watched


if __name__ == "__main__":
    main()
