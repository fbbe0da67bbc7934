"""The full form of the kill suite, with figures: 200 kills in 40 ingests of 60 photos.

It takes most of an hour on two cores. Each ingest gets its share of the kills that are still to come; one
that is over sooner than its share leaves the rest to the next.
"""

from __future__ import annotations

import argparse
import difflib
import math
import shutil
import tempfile
from collections import Counter
from pathlib import Path

from tests.crashes.ingest import WRITING, disturbed, undisturbed


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.crashes", description=__doc__)
    parser.add_argument("--ingests", type=int, default=40)
    parser.add_argument("--photos", type=int, default=60)
    parser.add_argument("--kills", type=int, default=200, help="in all")
    arguments = parser.parse_args()
    phases: Counter[tuple[str, str]] = Counter()
    wrong = 0
    with tempfile.TemporaryDirectory(prefix="eyeline-kills-") as name:
        expected = undisturbed(Path(name) / "undisturbed", arguments.photos)
        for seed in range(arguments.ingests):
            due = math.ceil((arguments.kills - phases.total()) / (arguments.ingests - seed))
            ingest = disturbed(Path(name) / str(seed), arguments.photos, due, seed)
            found = ingest.results()
            faults = ingest.faults()
            faults += [
                f"other than undisturbed: {key}: {_apart(expected[key], found.get(key, ''))}"
                for key in expected
                if found.get(key) != expected[key]
            ]
            phases.update((kill.target, kill.phase) for kill in ingest.kills)
            wrong += len(faults)
            kills = ", ".join(f"{kill.target} {kill.phase}" for kill in ingest.kills)
            print(f"ingest {seed}: {faults or 'no fault'}; killed: {kills}", flush=True)
            shutil.rmtree(ingest.home)
    for (target, phase), count in sorted(phases.items()):
        print(f"{count:4}  {target}, {phase}")
    writing = sum(count for (_, phase), count in phases.items() if phase == WRITING)
    share = f"{writing / phases.total():.0%} of them {WRITING}" if phases else "nothing was killed"
    print(f"{phases.total()} kills, {share}; {wrong} faults")
    return 1 if wrong else 0


def _apart(expected: str, found: str) -> str:
    """The parts in which two texts differ."""
    matcher = difflib.SequenceMatcher(None, expected, found, autojunk=False)
    return "; ".join(
        f"{expected[max(0, a - 40) : b]!r} → {found[max(0, c - 40) : d]!r}"
        for kind, a, b, c, d in matcher.get_opcodes()
        if kind != "equal"
    )


if __name__ == "__main__":
    raise SystemExit(main())
