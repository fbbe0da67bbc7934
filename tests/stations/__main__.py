"""The full form of the kill suite of several machines: 2,000 photos, 50 kills, against a quiet run.

Machines are network namespaces with mounts of their own: it takes root. The quiet run is one machine's, by
the usual engine, so the two engines are compared as well.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from tests.stations.day import LONGEST_PAUSE_SECONDS, Day, make_photos
from tests.stations.hosts import machines, why_not


def quiet_and_disturbed(
    folder: Path,
    photos: int,
    kills: int,
    seed: int,
    say: Callable[[str], None] = lambda _: None,
    longest_pause_s: float = LONGEST_PAUSE_SECONDS,
    chairs: Sequence[str] = ("chair-2", "chair-3"),
    each: int = 2,
) -> tuple[Day, list[str]]:
    """The disturbed day, and what is not as it must be; `say` hears how far it is."""
    start = time.monotonic()
    quiet, shoot, nas = (folder / name for name in ("quiet", "shoot", "nas"))
    made = make_photos(shoot, photos)
    shutil.copytree(shoot, quiet)
    copies = {quiet / path.relative_to(shoot): made[path] for path in made}
    reference = Day(folder / "one", quiet, copies, each=each)
    try:
        reference.start_all()
        reference.finish()
    finally:
        reference.end()
    say(f"The quiet run is through after {time.monotonic() - start:.0f} s.")
    nas.mkdir()
    mounts: dict[str, dict[Path, Path]] = {"studio": {}} | {chair: {nas: shoot} for chair in chairs}
    hidden = {chair: [shoot] for chair in chairs}
    with machines(mounts, hidden) as hosts:
        day = Day(folder / "many", shoot, made, {host.name: host for host in hosts}, each)
        try:
            day.start_all()
            day.disturb(kills, seed, longest_pause_s)
            say(f"{day.kills.total()} kills after {time.monotonic() - start:.0f} s, {day.written()} written.")
            day.finish()
        finally:
            day.end()
    expected, found = reference.results(), day.results()
    faults = [f"quiet: {each}" for each in reference.faults()] + day.faults()
    faults += [f"other than quiet: {name}" for name in expected if found.get(name) != expected[name]]
    return day, faults


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.stations", description=__doc__)
    parser.add_argument("--photos", type=int, default=2000)
    parser.add_argument("--kills", type=int, default=50)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--processes", type=int, default=2, help="of each machine that measures")
    parser.add_argument(
        "--pause", type=float, default=LONGEST_PAUSE_SECONDS, help="longest before a kill, seconds"
    )
    arguments = parser.parse_args()
    if (reason := why_not()) is not None:
        print(f"Not possible here: {reason}")
        return 2
    start = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="eyeline-day-") as folder:
        day, faults = quiet_and_disturbed(
            Path(folder),
            arguments.photos,
            arguments.kills,
            arguments.seed,
            partial(print, flush=True),
            arguments.pause,
            each=arguments.processes,
        )
    for target, count in sorted(day.kills.items()):
        print(f"{count:4}  {target}")
    print(*faults[:40], sep="\n")
    print(
        f"{arguments.photos} photos, {day.kills.total()} kills, {len(faults)} faults, "
        f"{time.monotonic() - start:.0f} s"
    )
    return 1 if faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
