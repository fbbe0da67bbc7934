"""How many ratings it takes, on simulated photographers: the table of docs/learning.md.

`--write docs/learning.md` puts it there, between the marks.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from eyeline.agreement.fit import fitted
from eyeline.agreement.proposal import agreement, propose
from eyeline.agreement.rated import stars_of
from tests.agreement.photographers import TASTES, Taste, genre, no_taste, rates

COUNTS = (64, 96, 128, 200, 400)
RUNS = 4
FRESH = 1000
AT_RANDOM_RUNS = 20
"""Of ratings without any taste: what is proposed there is an accident, and accidents are rare."""

KAPPA_AT = 200

BEGIN, END = "<!-- measured by tests.agreement -->", "<!-- end -->"


def table() -> Iterator[str]:
    """The table's lines, as Markdown."""
    counts = " | ".join(map(str, COUNTS))
    yield f"| photographer | {counts} ratings | kappa before | after {KAPPA_AT} |"
    yield "| --- |" + " --- |" * (len(COUNTS) + 2)
    for name, taste in TASTES.items():
        found = " | ".join(f"{_found(taste, count, RUNS)} of {RUNS}" for count in COUNTS)
        before, after = _held_out(taste)
        yield f"| {name} | {found} | {before:.2f} | {after:.2f} |"
    found = " | ".join(f"{_found(no_taste, count, AT_RANDOM_RUNS)} of {AT_RANDOM_RUNS}" for count in COUNTS)
    yield f"| rates at random | {found} | | |"


def _found(taste: Taste, count: int, runs: int) -> int:
    """In how many runs something was proposed."""
    return sum(propose(genre(), rates(taste, count, seed)).why_not is None for seed in range(runs))


def _held_out(taste: Taste) -> tuple[float, float]:
    """Mean kappa on fresh frames, of the genre as it is and as fitted to KAPPA_AT ratings."""
    before, after = [], []
    for seed in range(RUNS):
        fresh = rates(taste, FRESH, 1000 + seed)
        learned = fitted(genre(), rates(taste, KAPPA_AT, seed))
        for kept, rulebook in ((before, genre()), (after, learned)):
            kept.append(agreement(fresh.theirs, stars_of(rulebook, fresh.columns)).kappa or 0.0)
    return float(np.mean(before)), float(np.mean(after))


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.agreement", description=__doc__)
    parser.add_argument("--write", type=Path, metavar="FILE")
    arguments = parser.parse_args()
    lines = []
    for line in table():
        print(line, flush=True)
        lines.append(line)
    if arguments.write is not None:
        text = arguments.write.read_text(encoding="utf-8")
        head, _, rest = text.partition(BEGIN)
        _, _, tail = rest.partition(END)
        arguments.write.write_text("\n".join([head + BEGIN, *lines, END]) + tail, encoding="utf-8")


if __name__ == "__main__":
    main()
