"""What each measure costs a frame, before a change and now, in turns in one process, and whether it says the
same.

`python -m tests.benchmark.measures BEFORE [--frames 8] [--looks 7]`

BEFORE is a commit. Its package is taken out of git and loaded beside the one of the working tree; both
measure the same decoded frames of 24 megapixels, large heads and small ones, in turns, with all that they
keep of a photo forgotten and its pixels out of the processor's cache before each look. Processor time, the
least of all looks at a frame, the median over frames: what else the machine does meets both alike. Then both
measure every frame of the bundled shoot: the largest difference of each quantity is printed, and whatever is
told otherwise.
"""

from __future__ import annotations

import argparse
import io
import os
import statistics
import subprocess
import sys
import tarfile
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

import cv2
import numpy as np

from eyeline.workers.pool import ONE_THREAD
from tests.accuracy.portraits import SHOOT
from tests.benchmark.against_floor import make_photos

NOW = Path(__file__).parents[2] / "daemon"
CACHE_BYTES = 64_000_000
"""More than a processor's cache holds."""

Costs = dict[str, float]
"""Milliseconds by step and by measure."""


class Edition:
    """The package `eyeline` as it lies in a folder, beside others of that name in the same process."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._modules: dict[str, ModuleType] = {}
        with self.current():
            assert Path(import_module("eyeline").__file__ or "").is_relative_to(folder)
            self._workers = import_module("eyeline.workers.examine")
            self._points = import_module("eyeline.measuring.points")
            self._eyes = import_module("eyeline.measuring.eye_network")
            self._sitter = import_module("eyeline.terms.sitter")
            self._measurement = import_module("eyeline.terms.measurement")
            self._take = import_module("eyeline.measuring.take")
            self._look = import_module("eyeline.reading.look")
            self._catalogue = import_module("eyeline.measuring.catalogue")
            import_module("eyeline.reading.models").load_all()

    @contextmanager
    def current(self) -> Iterator[None]:
        """While it lasts, `import eyeline` means this one, in functions too."""
        others = _taken_out()
        sys.modules.update(self._modules)
        sys.path.insert(0, str(self._folder))
        try:
            yield
        finally:
            sys.path.remove(str(self._folder))
            self._modules = _taken_out()
            sys.modules.update(others)

    def decoded(self, path: Path) -> tuple[Any, Any]:
        """The frame at `path` and its picture."""
        with self.current():
            frame = self._workers.identify(path)
            return frame, self._workers.picture_in(path.read_bytes(), frame)

    def measured(self, frame: Any, picture: Any) -> tuple[Mapping[str, Any], Any, Costs]:
        """Measurements by name, the sitter's points, and what each step cost."""
        with self.current():
            fresh = replace(picture)  # nothing that was kept with the picture
            costs: Costs = {}
            seen = _timed("look", costs, lambda: self._look.look(fresh))
            eyes = _timed("eyes", costs, lambda: self._eyes.sitters_eyes(fresh, seen))
            points = _timed("points", costs, lambda: self._points.sitter_points(fresh, seen, eyes))
            subject = self._measurement.FrameSubject(
                frame, fresh, seen, self._sitter.sitter_of(seen, eyes, points)
            )
            known, each = self._take.take(subject, self._catalogue.BUILT_IN, time.process_time)
            return known, points, costs | each


def main() -> None:
    if any(os.environ.get(name) != value for name, value in ONE_THREAD.items()):  # read when NumPy is loaded
        os.execve(sys.executable, sys.orig_argv, {**os.environ, **ONE_THREAD})
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.measures", description=__doc__)
    parser.add_argument("before", help="the commit to compare with")
    parser.add_argument("--frames", type=int, default=8, help="of large heads, and of small ones")
    parser.add_argument("--looks", type=int, default=7, help="at each frame, before and now each")
    arguments = parser.parse_args()
    cv2.setNumThreads(1)
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        archive = subprocess.check_output(["git", "archive", arguments.before, "daemon"], cwd=NOW.parent)
        with tarfile.open(fileobj=io.BytesIO(archive)) as files:
            files.extractall(folder, filter="data")
        editions = Edition(folder / "daemon"), Edition(NOW)
        if arguments.frames:
            costs = {}
            for heads in ("large", "small"):
                make_photos(folder / heads, arguments.frames, heads == "small")
                costs[heads] = _costs(editions, sorted((folder / heads).glob("*.jpg")), arguments.looks)
            for line in cost_table(costs, arguments):
                print(line, flush=True)
        for line in _differences(editions, sorted(SHOOT.glob("*.jpg"))):
            print(line, flush=True)


def _costs(editions: Sequence[Edition], photos: Sequence[Path], looks: int) -> list[Costs]:
    """Median costs over `photos`, for each of `editions`."""
    by_step: list[dict[str, list[float]]] = [defaultdict(list) for _ in editions]
    for path in photos:
        decoded = [edition.decoded(path) for edition in editions]
        found: list[list[Costs]] = [[] for _ in editions]
        for number in range(looks):
            for index in (0, 1) if number % 2 else (1, 0):
                np.ones(CACHE_BYTES, np.uint8).sum()
                found[index].append(editions[index].measured(*decoded[index])[2])
        for steps, of_photo in zip(by_step, found, strict=True):
            for step in of_photo[0]:
                steps[step].append(min(costs[step] for costs in of_photo))
    return [{step: statistics.median(values) for step, values in steps.items()} for steps in by_step]


def cost_table(costs: Mapping[str, Sequence[Costs]], arguments: argparse.Namespace) -> Iterator[str]:
    """A table of `costs` before and now by size of the heads; `all measures` leaves out the look."""
    yield (
        f"Milliseconds of processor time a frame, {arguments.before} and the working tree in turns in one "
        f"process: the least of {arguments.looks} looks, the median of {arguments.frames} frames."
    )
    yield ""
    yield f"| part |{' |'.join(f' {heads} heads | now' for heads in costs)} |"
    yield f"| --- |{' --- |' * 2 * len(costs)}"
    steps = next(iter(costs.values()))[1]
    for step in steps:
        yield _row(step, [each.get(step, 0.0) for both in costs.values() for each in both])
    measures = [
        sum(each[step] for step in steps if step != "look") for both in costs.values() for each in both
    ]
    yield _row("**all measures**", measures)


def _row(name: str, values: Sequence[float]) -> str:
    return f"| {name} | {' | '.join(f'{value:.1f}' for value in values)} |"


def _differences(editions: Sequence[Edition], photos: Sequence[Path]) -> Iterator[str]:
    """What the two say of `photos`: the largest difference of each quantity, and what is told otherwise."""
    largest: dict[str, float] = defaultdict(float)
    otherwise = []
    for path in photos:
        told = []
        for edition in editions:
            known, points, _ = edition.measured(*edition.decoded(path))
            told.append({**{name: each.value for name, each in known.items()}, **dict(_flat(points))})
        before, now = told
        for name in sorted(before.keys() | now.keys()):
            one, other = before.get(name), now.get(name)
            if isinstance(one, float) and isinstance(other, float):
                largest[name] = max(largest[name], abs(one - other))
            elif one != other:
                otherwise.append(f"{path.name}: {name} was {one}, is {other}")
    yield ""
    yield f"{len(photos)} frames of the shoot: {len(otherwise)} told otherwise."
    yield from otherwise
    for name, difference in sorted(largest.items()):
        if difference:
            yield f"{name} differs by {difference:.2g} at the most"
    if not any(largest.values()):
        yield "No number differs."


def _flat(points: Any) -> Iterator[tuple[str, Any]]:
    """Every number of the sitter's points, named by where it stands."""

    def walk(name: str, value: Any) -> Iterator[tuple[str, Any]]:
        if hasattr(value, "__slots__") and hasattr(value, "__dataclass_fields__"):
            for field in value.__dataclass_fields__:
                yield from walk(f"{name}.{field}", getattr(value, field))
        elif isinstance(value, tuple):
            yield f"{name}.count", len(value)
            for index, each in enumerate(value):
                yield from walk(f"{name}.{index}", each)
        else:
            yield name, value

    return walk("points", points)


def _timed(step: str, costs: Costs, act: Callable[[], Any]) -> Any:
    start = time.process_time()
    answer = act()
    costs[step] = 1000 * (time.process_time() - start)
    return answer


def _taken_out() -> dict[str, ModuleType]:
    """All modules of the package, which are forgotten."""
    names = [name for name in sys.modules if name == "eyeline" or name.startswith("eyeline.")]
    return {name: sys.modules.pop(name) for name in names}


if __name__ == "__main__":
    main()
