"""Learning from simulated photographers whose taste is not of the model's family.

How many ratings it takes is measured by `python -m tests.agreement` and stands in docs/learning.md.
"""

from __future__ import annotations

import pytest

from eyeline.agreement.fit import fitted
from eyeline.agreement.parting import partings
from eyeline.agreement.proposal import LEAST_RATINGS, RangeChange, WeightChange, agreement, propose
from eyeline.agreement.rated import Rated, stars_of
from eyeline.judging.verdict import judge
from tests.agreement.photographers import TASTES, genre, lexicographic, loose, no_taste, rates
from tests.judging.shipped import QUANTITIES, vocabulary

FRESH = 1000
LEAST_RISE = 0.15


def kappa(rated: Rated, stars: object) -> float:
    found = agreement(rated.theirs, stars).kappa  # type: ignore[arg-type]
    assert found is not None
    return found


def test_stars_are_those_of_the_judge() -> None:
    columns = rates(no_taste, 200, 1).columns
    judged = judge(columns, [genre()], vocabulary(), QUANTITIES)
    assert stars_of(genre(), columns).tolist() == judged.stars.tolist()


@pytest.mark.parametrize("name", TASTES)
def test_agreement_on_fresh_frames_rises(name: str) -> None:
    proposal = propose(genre(), rates(TASTES[name], 200, 0))
    assert proposal.why_not is None, proposal.why_not
    assert proposal.held_out is not None
    fresh = rates(TASTES[name], FRESH, 1000)
    before = kappa(fresh, stars_of(genre(), fresh.columns))
    after = kappa(fresh, stars_of(fitted(genre(), rates(TASTES[name], 200, 0)), fresh.columns))
    assert after - before >= LEAST_RISE
    assert abs(after - (proposal.held_out.kappa or 0)) < 0.2, "cross-validation promises what comes true"


@pytest.mark.parametrize(
    "seeds", [range(3), pytest.param(range(3, 13), marks=pytest.mark.slow)], ids=["few", "many"]
)
@pytest.mark.parametrize("count", [60, 200])
def test_random_ratings_teach_nothing(count: int, seeds: range) -> None:
    found = [propose(genre(), rates(no_taste, count, seed)) for seed in seeds]
    assert [each.changes for each in found] == [()] * len(seeds)
    assert all(each.why_not for each in found)


def test_too_few_ratings_are_said_to_be_too_few() -> None:
    proposal = propose(genre(), rates(lexicographic, LEAST_RATINGS - 1, 0))
    assert proposal.changes == ()
    assert proposal.held_out is None
    assert "too few" in (proposal.why_not or "")


def test_one_long_series_is_too_little_to_test_on() -> None:
    rated = rates(lexicographic, 100, 0)
    proposal = propose(genre(), Rated(rated.columns, rated.theirs, rated.group * 0))
    assert "series" in (proposal.why_not or "")


def test_who_agrees_already_is_left_alone() -> None:
    columns = rates(no_taste, 150, 3)
    own = Rated(columns.columns, stars_of(genre(), columns.columns), columns.group)
    proposal = propose(genre(), own)
    assert proposal.changes == ()
    assert proposal.now.kappa == 1


def test_the_same_ratings_give_the_same_answer() -> None:
    assert propose(genre(), rates(lexicographic, 120, 5)) == propose(genre(), rates(lexicographic, 120, 5))


def test_it_is_seen_what_they_make_more_of() -> None:
    proposal = propose(genre(), rates(lexicographic, 300, 2))
    sharp = [
        each for each in proposal.changes if isinstance(each, WeightChange) and each.criterion == "sharp_eye"
    ]
    assert sharp
    assert sharp[0].after > sharp[0].before
    first = {each.criterion for each in partings(genre(), rates(lexicographic, 300, 2))[:3] if each.tau > 0}
    assert "sharp_eye" in first


def test_a_taste_for_air_moves_the_ranges_towards_air() -> None:
    proposal = propose(genre(), rates(loose, 300, 2))
    moved = {each.criterion: each for each in proposal.changes if isinstance(each, RangeChange)}
    assert moved
    if "head_height" in moved:
        assert moved["head_height"].after[1] < moved["head_height"].before[1]
    if "headroom" in moved:
        assert moved["headroom"].after[1] > moved["headroom"].before[1]
