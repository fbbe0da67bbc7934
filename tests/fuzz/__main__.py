"""Fuzz what eyeline reads, with figures: crashes, hangs, lost or altered bytes, growth: all must be 0.

The full form: `python -m tests.fuzz --photos 2000 --sidecars 2000 --records 2000 --rules 2000
--configurations 2000`. The same seed makes the same cases; a fault is printed with the number of its case.
Takes a good half hour.
"""

from __future__ import annotations

import argparse
import secrets
import tempfile
from pathlib import Path

from tests.fuzz.carriers import fuzz_carriers
from tests.fuzz.figures import HEADINGS
from tests.fuzz.photos import fuzz_photos
from tests.fuzz.records import fuzz_records
from tests.fuzz.settings import fuzz_configurations, fuzz_rules

KINDS = {
    "photos": fuzz_photos,
    "sidecars": fuzz_carriers,
    "records": fuzz_records,
    "rules": fuzz_rules,
    "configurations": fuzz_configurations,
}


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    for kind in KINDS:
        parser.add_argument(f"--{kind}", type=int, default=0, metavar="N", help="how many cases")
    parser.add_argument("--seed", type=int, default=secrets.randbelow(2**31), help="else one is drawn")
    arguments = parser.parse_args()
    print(f"| {' | '.join(HEADINGS)} |\n|{' --- |' * len(HEADINGS)}", flush=True)
    faults = []
    for kind, fuzz in KINDS.items():
        cases = getattr(arguments, kind)
        if cases:
            with tempfile.TemporaryDirectory(prefix="eyeline-fuzz-") as folder:
                figures = fuzz(Path(folder), cases, arguments.seed)
            print(f"| {' | '.join(figures.cells())} |", flush=True)
            faults += figures.faults
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
