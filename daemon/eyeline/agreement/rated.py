"""Photos that the photographer has rated, and what a genre would give them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.columns import Columns
from eyeline.judging.condition import truth
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.score import score

MOST_STARS = 5
EYELINES_BEST = 4
"""The fifth star is the photographer's own (common practice); for a fit their 5 is "at least 4"."""


@dataclass(frozen=True, slots=True, eq=False)
class Rated:
    """`columns`: measures of n photos. `theirs`: int (n,), 1 to 5. `group`: int (n,), which frames belong
    together (a series, a sitting): they are never divided between fitting and testing, since near
    duplicates would make any fit look good.
    """

    columns: Columns
    theirs: NDArray[np.intp]
    group: NDArray[np.intp]

    def __len__(self) -> int:
        return self.columns.count

    def only(self, rows: NDArray[np.intp]) -> Rated:
        """The photos in `rows`, in that order."""
        columns = self.columns
        return Rated(
            Columns(
                len(rows),
                {name: each if len(each) == 1 else each[rows] for name, each in columns.numbers.items()},
                {name: each if len(each) == 1 else each[rows] for name, each in columns.words.items()},
                columns.spellings,
            ),
            self.theirs[rows],
            self.group[rows],
        )


def caps(rulebook: Rulebook, columns: Columns) -> NDArray[np.intp]:
    """The most stars that faults leave to each photo, int (n,)."""
    most = np.full(columns.count, MOST_STARS)
    for fault in rulebook.faults:
        most = np.where(truth(fault.when, columns).yes, np.minimum(most, fault.stars_at_most), most)
    return most.astype(np.intp)


def stars_of(rulebook: Rulebook, columns: Columns) -> NDArray[np.intp]:
    """The stars of each photo on this one genre, int (n,), 1 to 4, as `judging.verdict.judge` gives them."""
    value = score(rulebook, columns).value
    cuts = (rulebook.stars.two, rulebook.stars.three, rulebook.stars.four)
    given = 1 + sum((value >= cut).astype(np.intp) for cut in cuts)
    return np.asarray(np.minimum(given, caps(rulebook, columns)), dtype=np.intp)
