"""Whether a fitted genre is worth proposing: it must agree better on photos that it was not fitted to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.agreement.fit import fitted
from eyeline.agreement.kappa import confusion, kappa_of_table, quadratic_weighted_kappa, quadratic_weights
from eyeline.agreement.rated import Rated, stars_of
from eyeline.agreement.tau import tau_b
from eyeline.judging.rulebook import Criterion, Rulebook

LEAST_RATINGS = 60
"""Rated photos of a genre below which nothing is proposed: with fewer, simulated tastes were not found
reliably (tests/agreement/test_photographers.py)."""
LEAST_GROUPS = 10
"""Series or sittings below which there is nothing to test on."""
LEAST_LEVELS = 2
"""Different stars that must have been given."""
FOLDS = 5
LEAST_GAIN = 0.05
"""Gain of kappa that is worth a change of rules."""
LEAST_KAPPA = 0.2
"""Agreement that must be reached: below, it is "slight" (Landis & Koch, Biometrics 33 (1977) 159-174)."""
CERTAINTY = 0.99
"""One-sided, that the gain on unseen photos is no accident."""
RESAMPLINGS = 2000


@dataclass(frozen=True, slots=True)
class Agreement:
    """Of the photographer's stars and a genre's on the same `photos`; None = undefined (a constant rater)."""

    photos: int
    kappa: float | None
    tau: float | None


@dataclass(frozen=True, slots=True)
class WeightChange:
    """A criterion's weight."""

    criterion: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class RangeChange:
    """A criterion's range: low, ideal low, ideal high, high; infinite where open."""

    criterion: str
    measure: str
    before: tuple[float, float, float, float]
    after: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class CutChange:
    """The least score for `stars`: "two", "three", "four"."""

    stars: str
    before: float
    after: float


Change = WeightChange | RangeChange | CutChange


@dataclass(frozen=True, slots=True)
class Proposal:
    """What was found for a genre. `now`: agreement as the genre is. `held_out`: that of the fitted genre on
    photos that it was not fitted to, None where it was not tried. `why_not`: why nothing is proposed, then
    `changes` are none.
    """

    genre: str
    now: Agreement
    held_out: Agreement | None
    changes: tuple[Change, ...]
    why_not: str | None = None


def agreement(theirs: Sequence[int] | NDArray[np.intp], ours: Sequence[int] | NDArray[np.intp]) -> Agreement:
    """Both statistics."""
    return Agreement(len(theirs), quadratic_weighted_kappa(theirs, ours), tau_b(theirs, ours))


def propose(rulebook: Rulebook, rated: Rated) -> Proposal:
    """What `rulebook` would have to change to agree with the photographer, if that can be known.

    Deterministic: the same photos give the same answer.
    """
    ours = stars_of(rulebook, rated.columns)
    now = agreement(rated.theirs, ours)

    def nothing(why: str, held_out: Agreement | None = None) -> Proposal:
        return Proposal(rulebook.name, now, held_out, (), why)

    if len(rated) < LEAST_RATINGS:
        few = "1 rating is" if len(rated) == 1 else f"{len(rated)} ratings are"
        return nothing(f"{few} too few to learn from; {LEAST_RATINGS} are the least")
    groups = np.unique(rated.group)
    if len(groups) < LEAST_GROUPS:
        return nothing(
            f"the ratings are on {len(groups)} series only; {LEAST_GROUPS} are the least to test on"
        )
    if len(np.unique(rated.theirs)) < LEAST_LEVELS:
        return nothing("all photos were given the same stars")
    unseen = _cross_validated(rulebook, rated, groups)
    held_out = agreement(rated.theirs, unseen)
    gain = (held_out.kappa or 0.0) - (now.kappa or 0.0)
    if (held_out.kappa or 0.0) < LEAST_KAPPA:
        return nothing("no rule was found that foretells these ratings", held_out)
    if gain < LEAST_GAIN:
        return nothing("the genre agrees with you as well as a changed one would", held_out)
    if not _is_certain(rated, ours, unseen):
        return nothing("what a change would gain may be an accident", held_out)
    changes = differences(rulebook, fitted(rulebook, rated))
    return Proposal(rulebook.name, now, held_out, changes, None if changes else "nothing would change")


def differences(before: Rulebook, after: Rulebook) -> tuple[Change, ...]:
    """What `after` says otherwise, weights and ranges in the genre's order, then cuts."""
    changes: list[Change] = []
    for old, new in zip(before.criteria, after.criteria, strict=True):
        if old.weight != new.weight:
            changes.append(WeightChange(old.name, old.weight, new.weight))
        if old.ideals != new.ideals:
            changes.append(RangeChange(old.name, old.ideals[0].measure, _range(old), _range(new)))
    for name in ("two", "three", "four"):
        old_cut, new_cut = getattr(before.stars, name), getattr(after.stars, name)
        if old_cut != new_cut:
            changes.append(CutChange(name, old_cut, new_cut))
    return tuple(changes)


def _range(criterion: Criterion) -> tuple[float, float, float, float]:
    ideal = criterion.ideals[0]
    return ideal.low, ideal.ideal_low, ideal.ideal_high, ideal.high


def _cross_validated(rulebook: Rulebook, rated: Rated, groups: NDArray[np.intp]) -> NDArray[np.intp]:
    """The stars of each photo by the genre as fitted to all groups but those of its fold."""
    fold = np.searchsorted(groups, rated.group) % FOLDS
    stars = np.zeros(len(rated), np.intp)
    for number in range(FOLDS):
        inside, outside = np.flatnonzero(fold == number), np.flatnonzero(fold != number)
        stars[inside] = stars_of(fitted(rulebook, rated.only(outside)), rated.only(inside).columns)
    return stars


def _is_certain(rated: Rated, before: NDArray[np.intp], after: NDArray[np.intp]) -> bool:
    """Whether the gain is above 0 in CERTAINTY of the resamplings of groups (B. Efron's bootstrap)."""
    chance = np.random.Generator(np.random.PCG64(0))  # seeded: the same ratings, the same answer
    groups = np.unique(rated.group)
    tables = [
        np.stack([confusion(rated.theirs[rows], stars[rows]) for stars in (before, after)])
        for rows in (np.flatnonzero(rated.group == each) for each in groups)
    ]
    stacked = np.stack(tables)
    weights = quadratic_weights()
    gains = 0
    for _ in range(RESAMPLINGS):
        drawn = chance.integers(len(groups), size=len(groups))
        old, new = stacked[drawn].sum(axis=0)
        gains += (kappa_of_table(new, weights) or 0.0) > (kappa_of_table(old, weights) or 0.0)
    return gains >= CERTAINTY * RESAMPLINGS
