"""Deliveries of 24-megapixel JPEGs against libvips doing crop, resize and save alone, and how memory grows.

    python -m tests.benchmark.deliveries [--files 500] [--rounds 5]

Both work in this process, in interleaved rounds; processor time counts, so other work on the machine does
not. Beside it, what measuring a delivered file again costs, which is no part of the comparison.
"""

from __future__ import annotations

import argparse
import resource
import time
from collections.abc import Callable
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


def cost(work: Callable[[], object]) -> float:
    """Seconds of processor time, of all threads."""
    start = time.process_time()
    work()
    return time.process_time() - start


def held_mb() -> float:
    """Resident memory of this process, MB (proc(5), statm)."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize() / 1e6


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--files", type=int, default=500)
    parser.add_argument("--rounds", type=int, default=5)
    asked = parser.parse_args()
    with TemporaryDirectory() as folder:
        frame, out = Path(folder) / "frame.jpg", Path(folder) / "out.jpg"
        make_frame(frame)
        alone(frame, out)
        delivered(frame, out)
        a_round = max(1, asked.files // asked.rounds)
        ratios, held, theirs, ours = [], [], [], []
        for _ in range(asked.rounds):
            vips = [cost(lambda: alone(frame, out)) for _ in range(a_round)]
            eyeline = [cost(lambda: delivered(frame, out)) for _ in range(a_round)]
            theirs += vips
            ours += eyeline
            ratios.append(sum(vips) / sum(eyeline))
            held.append(held_mb())
        again = median(cost(lambda: measure_again(out)) for _ in range(3))
        print(f"{len(ours)} deliveries of {WIDTH}×{HEIGHT} px to {SIZE[0]}×{SIZE[1]}, {asked.rounds} rounds")
        print(f"libvips alone {median(theirs) * 1000:.0f} ms, eyeline {median(ours) * 1000:.0f} ms a file")
        print(
            f"{median(ratios):.2f} of its speed (rounds {min(ratios):.2f} to {max(ratios):.2f}; goal {GOAL})"
        )
        print(f"memory held after each round, MB: {', '.join(f'{each:.0f}' for each in held)}")
        print(f"measuring a file again: {again * 1000:.0f} ms")


if __name__ == "__main__":
    main()
