"""The full form: 10,000 photos one after the other and 5,000 at once, with a plot.

It takes about half an hour on two cores. With `--minutes` the first part ends after so long, however far it
has come.
"""

from __future__ import annotations

import argparse
import math
import shutil
import tempfile
from pathlib import Path
from statistics import median

from tests.soak.soak import Course, Watched

QUANTITIES = (
    ("daemon_bytes", "memory of the daemon, MiB", 2**20),
    ("workers_bytes", "memory of the workers, MiB", 2**20),
    ("open_files", "open files of the daemon", 1),
    ("threads", "threads of the daemon", 1),
)


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.soak", description=__doc__)
    parser.add_argument("--photos", type=int, default=10_000)
    parser.add_argument("--moved-in", type=int, default=5_000, metavar="PHOTOS")
    parser.add_argument("--minutes", type=float, default=math.inf)
    parser.add_argument("--plot", type=Path, metavar="PNG")
    arguments = parser.parse_args()
    home = Path(tempfile.mkdtemp(prefix="eyeline-soak-"))
    watched = Watched(home)
    try:
        watched.arrive_one_by_one(arguments.photos, arguments.minutes * 60)
        print(report(watched.course), flush=True)
        if arguments.plot is not None:
            plot(watched.course, arguments.plot)
        if arguments.moved_in:
            before = len(watched.course.samples)
            watched.arrive_at_once(arguments.moved_in)
            new = watched.course.samples[before:]
            print(
                f"{arguments.moved_in} moved in at once: all have sidecars; memory of the daemon at most "
                f"{max(each.daemon_bytes for each in new) / 2**20:.0f} MiB, open files at most "
                f"{max(each.open_files for each in new)}, threads at most {max(each.threads for each in new)}"
            )
        wrong = watched.stop()
    finally:
        watched.end()
        shutil.rmtree(home)
    print("\n".join(wrong) or "stopped cleanly; the ledger is sound and has every photo as written")
    return 1 if wrong else 0


def report(course: Course) -> str:
    """What each quantity was, and its last quarter against its second."""
    lines = [f"{course.samples[-1].photos} photos in {course.samples[-1].seconds:.0f} s"]
    for name, title, unit in QUANTITIES:
        values = [getattr(each, name) / unit for each in course.samples]
        lines.append(
            f"{title}: at most {max(values):.0f}; last quarter {course.drift(name):.3f} of the second"
        )
    lines.append(
        f"wait for the sidecar: median {median(course.waits):.1f} s; last quarter {course.wait_drift():.2f} "
        "of the second"
    )
    return "\n".join(lines)


def plot(course: Course, target: Path) -> None:
    """Each quantity over the photos that are done."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8, 11), layout="constrained")
    axes = figure.subplots(len(QUANTITIES) + 1, 1)
    done = [each.photos for each in course.samples]
    for axis, (name, title, unit) in zip(axes, QUANTITIES, strict=False):
        axis.plot(done, [getattr(each, name) / unit for each in course.samples], linewidth=1)
        axis.set(ylabel=title, ylim=(0, None))
    axes[-1].plot(range(len(course.waits)), course.waits, ".", markersize=1)
    axes[-1].set(ylabel="wait for the sidecar, s", xlabel="photos", ylim=(0, None))
    figure.savefig(target, dpi=110)


if __name__ == "__main__":
    raise SystemExit(main())
