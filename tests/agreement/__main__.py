"""How many ratings it takes, on simulated photographers: the table of docs/learning.md."""

from __future__ import annotations

import numpy as np

from eyeline.agreement.fit import fitted
from eyeline.agreement.proposal import agreement, propose
from eyeline.agreement.rated import stars_of
from tests.agreement.photographers import TASTES, genre, no_taste, rates

COUNTS = (64, 96, 128, 200, 400)
RUNS = 4
FRESH = 1000


def main() -> None:
    print(f"{'photographer':28} {'ratings':>7} {'found':>6} {'before':>7} {'after':>6}")
    for name, taste in {**TASTES, "at random": no_taste}.items():
        for count in COUNTS:
            found, before, after = 0, [], []
            for seed in range(RUNS):
                rated = rates(taste, count, seed)
                found += propose(genre(), rated).why_not is None
                fresh = rates(taste, FRESH, 1000 + seed)
                learned = fitted(genre(), rated)
                for kept, rulebook in ((before, genre()), (after, learned)):
                    kept.append(agreement(fresh.theirs, stars_of(rulebook, fresh.columns)).kappa or 0.0)
            figures = f"{np.mean(before):7.2f} {np.mean(after):6.2f}"
            print(f"{name:28} {count:7} {found:4}/{RUNS} {figures}", flush=True)


if __name__ == "__main__":
    main()
