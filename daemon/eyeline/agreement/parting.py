"""Where the photographer and eyeline part: on which photos, and along which criterion."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from eyeline.agreement.rated import Rated, stars_of
from eyeline.agreement.tau import tau_b
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.score import desirability

LEAST_PHOTOS = 20
"""Photos on which a criterion must be known, for an order to mean anything."""
NOTABLE = 0.15
"""Kendall's tau-b from which the two part along a criterion: 1.7 standard deviations of chance at 60."""


@dataclass(frozen=True, slots=True)
class Parting:
    """`tau`: tau-b of (their stars - ours) with how well a photo meets `criterion`. Positive: the
    photographer makes more of it than eyeline; negative: less. `photos`: on which it is known.
    """

    criterion: str
    tau: float
    photos: int


def partings(rulebook: Rulebook, rated: Rated) -> tuple[Parting, ...]:
    """The criteria along which the two part, strongest first."""
    apart = rated.theirs - stars_of(rulebook, rated.columns)
    found = []
    for criterion in rulebook.criteria:
        judged = np.broadcast_to(desirability(criterion, rated.columns), len(rated))
        known = ~np.isnan(judged)
        if known.sum() < LEAST_PHOTOS:
            continue
        tau = tau_b(apart[known], judged[known])
        if tau is not None and abs(tau) >= NOTABLE:
            found.append(Parting(criterion.name, tau, int(known.sum())))
    return tuple(sorted(found, key=lambda each: -abs(each.tau)))
