"""Deliveries of 24-megapixel JPEGs against libvips doing crop, resize and save alone, and how memory grows.

    python -m tests.benchmark.deliveries [--files 500] [--rounds 20] [--minutes 8.5]

Both work in this process, in interleaved rounds: one of libvips alone, one of eyeline, each in turn first.
Processor time counts, so other work on the machine does not; time by the clock is told beside it, which means
something on a quiet machine only. What has not been made after so many minutes is left out, and said. Beside
it, what measuring a delivered file again costs, which is no part of the comparison.
"""

from __future__ import annotations

import argparse
import resource
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

import cv2
import numpy as np
import pyvips

from eyeline.delivery.box import Box
from eyeline.delivery.metadata import packet
from eyeline.delivery.specification import Specification
from eyeline.rendering.encode import encoded
from eyeline.rendering.file_facts import breaches
from eyeline.rendering.render import Source, rendered
from eyeline.system.whole_file import write_whole
from eyeline.workers.measure_again import measure_again

SHOOT = Path(__file__).resolve().parents[2] / "shoot"
WIDTH, HEIGHT = 4000, 6000
BOX, SIZE = Box(100, 600, 3800, 4750), (1600, 2000)
GOAL = 0.8
PACKET = packet("A", "B", "c@example.org", "d", "e", "f", "g")


def make_frame(path: Path) -> None:
    """A frame of the shoot enlarged to 24 megapixels, with noise, so that it compresses as a photo does."""
    small = cv2.imread(str(SHOOT / "NL1_1002.jpg"))
    large = cv2.resize(small, (WIDTH, HEIGHT), interpolation=cv2.INTER_CUBIC).astype(np.int16)
    noise = np.random.default_rng(1).normal(0, 2, (HEIGHT, WIDTH, 1)).astype(np.int16)
    cv2.imwrite(str(path), np.clip(large + noise, 0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, 92])


def alone(frame: Path, out: Path) -> None:
    """Crop, resize, save: nothing else."""
    image = pyvips.Image.new_from_file(str(frame), access="sequential")
    image = image.crop(BOX.left, BOX.top, BOX.width, BOX.height)
    image = image.resize(SIZE[0] / BOX.width, vscale=SIZE[1] / BOX.height, kernel="lanczos3")
    image.jpegsave(str(out), Q=90, optimize_coding=True)


def delivered(frame: Path, out: Path) -> None:
    """The same as eyeline does it, with profile, metadata, the file read back, and written whole."""
    asked = Specification()
    picture = rendered(Source(frame, WIDTH, HEIGHT), BOX, SIZE, asked)
    made = encoded(picture, asked, PACKET)
    wrong = breaches(made.content, SIZE, asked, picture.profile)
    if wrong:
        raise SystemExit(f"the file is not what was asked for: {wrong}")
    write_whole(out, made.content)


@dataclass(frozen=True, slots=True)
class Cost:
    """Seconds of processor time, of all threads, and by the clock."""

    processor_s: float
    clock_s: float


def cost(work: Callable[[], object]) -> Cost:
    """What `work` takes."""
    start, began = time.process_time(), time.perf_counter()
    work()
    return Cost(time.process_time() - start, time.perf_counter() - began)


def held_mb() -> float:
    """Resident memory of this process, MB (proc(5), statm)."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize() / 1e6


def peak_mb() -> float:
    """The most memory that this process has held so far, MB (getrusage(2), kilobytes)."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 / 1e6


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--files", type=int, default=500)
    parser.add_argument("--rounds", type=int, default=20)
    parser.add_argument("--minutes", type=float, default=8.5)
    asked = parser.parse_args()
    end = time.monotonic() + 60 * asked.minutes
    a_round = max(1, asked.files // asked.rounds)
    theirs: list[Cost] = []
    ours: list[Cost] = []
    ratios: list[float] = []
    clocks: list[float] = []
    held: list[float] = []
    with TemporaryDirectory() as folder:
        frame, out = Path(folder) / "frame.jpg", Path(folder) / "out.jpg"
        with ProcessPoolExecutor(1, get_context("spawn")) as elsewhere:  # its memory is not ours
            elsewhere.submit(make_frame, frame).result()
        alone(frame, out)
        delivered(frame, out)
        slowest = 0.0
        for number in range(asked.rounds):
            if time.monotonic() + slowest > end:
                break
            began = time.monotonic()
            order = (alone, delivered) if number % 2 else (delivered, alone)
            costs = {
                work: [cost(lambda work=work: work(frame, out)) for _ in range(a_round)] for work in order
            }
            theirs += costs[alone]
            ours += costs[delivered]
            ratios.append(_sum(costs[alone]).processor_s / _sum(costs[delivered]).processor_s)
            clocks.append(_sum(costs[alone]).clock_s / _sum(costs[delivered]).clock_s)
            held.append(held_mb())
            slowest = max(slowest, time.monotonic() - began)
        peak = peak_mb()
        again = median(cost(lambda: measure_again(out)).processor_s for _ in range(3))
    print(f"{len(ours)} of {asked.files} deliveries of {WIDTH}×{HEIGHT} px to {SIZE[0]}×{SIZE[1]},")
    print(f"{len(ratios)} rounds interleaved with libvips alone")
    for words, costs_of in (("libvips alone", theirs), ("eyeline", ours)):
        processor = median(each.processor_s for each in costs_of) * 1000
        clock = median(each.clock_s for each in costs_of) * 1000
        print(f"{words}: {processor:.0f} ms of processor time a file, {clock:.0f} ms by the clock")
    for words, found in (("processor time", ratios), ("the clock", clocks)):
        rounds = f"rounds {min(found):.2f} to {max(found):.2f}"
        print(f"{median(found):.2f} of its speed by {words} ({rounds}; goal {GOAL})")
    thinned = held[:: max(1, len(held) // 8)]
    print(f"memory held as it went, MB: {', '.join(f'{each:.0f}' for each in thinned)}; peak {peak:.0f}")
    print(f"measuring a file again: {again * 1000:.0f} ms of processor time")


def _sum(costs: Sequence[Cost]) -> Cost:
    return Cost(sum(each.processor_s for each in costs), sum(each.clock_s for each in costs))


if __name__ == "__main__":
    main()
