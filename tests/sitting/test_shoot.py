"""The bundled shoot, measured by the real pipeline, against its truth.

The truth calls a burst what was rendered as one, 0.3 s from frame to frame. A series by the contract of
measures is wider: same look and pose, seconds apart. Two frames taken 1.3 s before a burst in nearly its
pose (1026, 1049) are therefore of the series and not of the burst; the bounds allow for these alone.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence
from itertools import combinations
from math import comb

import pytest

from eyeline.deciding.judge_folder import judged_together, shot_of
from eyeline.ledger.records import Photo
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import rules_in_force
from eyeline.sitting.looks import looks
from eyeline.sitting.set_measures import set_measures
from eyeline.sitting.shot import Shot
from eyeline.sitting.sittings import sittings
from tests.accuracy.judged import photo_of
from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Portrait

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def pairs(shoot_pairs: Sequence[Pair]) -> list[Pair]:
    return sorted(shoot_pairs, key=lambda each: each.portrait.path.name)


@pytest.fixture(scope="module")
def portraits(pairs: list[Pair]) -> list[Portrait]:
    return [each.portrait for each in pairs]


@pytest.fixture(scope="module")
def photos(pairs: list[Pair]) -> list[Photo]:
    return [photo_of(each.examined) for each in pairs]


@pytest.fixture(scope="module")
def shots(photos: list[Photo]) -> list[Shot]:
    return [shot_of(photo, None) for photo in photos]


def adjusted_rand_index(one: Sequence[Hashable], other: Sequence[Hashable]) -> float:
    """Agreement of two partitions: 1 = the same, 0 = what chance gives. Hubert & Arabie 1985."""
    both = sum(comb(n, 2) for n in Counter(zip(one, other, strict=True)).values())
    first, second = (sum(comb(n, 2) for n in Counter(each).values()) for each in (one, other))
    chance = first * second / comb(len(one), 2)
    return (both - chance) / ((first + second) / 2 - chance)


@pytest.mark.parametrize(
    ("one", "other", "index"),
    [
        ((0, 0, 1, 1), (0, 0, 1, 1), 1.0),
        ((0, 0, 1, 1), (1, 1, 0, 0), 1.0),
        ((0, 0, 1, 2), (0, 0, 1, 1), 0.57),
        ((0, 0, 1, 1), (0, 0, 1, 2), 0.57),
        ((0, 0, 0, 0), (0, 1, 2, 3), 0.0),
        ((0, 0, 1, 1), (0, 1, 0, 1), -0.5),
    ],
)
def test_the_index_itself(one: tuple[int, ...], other: tuple[int, ...], index: float) -> None:
    """The examples of scikit-learn's documentation of `adjusted_rand_score`."""
    assert adjusted_rand_index(one, other) == pytest.approx(index, abs=0.005)


def test_sittings_are_the_sitters(portraits: list[Portrait], shots: list[Shot]) -> None:
    """Never told who is who: pauses alone part the five sitters."""
    found = {frozenset(each.rows) for each in sittings(shots)}
    sitters: dict[str, set[int]] = {}
    for row, portrait in enumerate(portraits):
        sitters.setdefault(portrait.people[0].sitter, set()).add(row)
    assert found == {frozenset(rows) for rows in sitters.values()}


def test_each_sitter_kept_one_look(shots: list[Shot]) -> None:
    """Nobody changed clothes, backdrop or light; one frame of each of two sitters is badly exposed."""
    assert [len(looks(shots, each.rows)) for each in sittings(shots)] == [1] * 5


def test_series_agree_with_the_bursts(portraits: list[Portrait], shots: list[Shot]) -> None:
    truth = [each.truth["burst"] or each.path.name for each in portraits]
    found = [each["series"].value or shot.name for each, shot in zip(set_measures(shots), shots, strict=True)]
    pairs = list(combinations(range(len(shots)), 2))
    true = {pair for pair in pairs if truth[pair[0]] == truth[pair[1]]}
    told = {pair for pair in pairs if found[pair[0]] == found[pair[1]]}
    precision, recall = len(true & told) / len(told), len(true & told) / len(true)
    index = adjusted_rand_index(truth, found)
    print(f"series: ARI {index:.3f}, pairs {len(true)}, precision {precision:.3f}, recall {recall:.3f}")
    assert recall == 1
    strangers = {shots[row].name for pair in told - true for row in pair} - {
        name
        for name, label in zip([each.path.name for each in portraits], truth, strict=True)
        if label != name
    }
    assert strangers <= {"NL1_1026.jpg", "NL1_1049.jpg"}
    assert precision >= 0.84 and index >= 0.9


def test_exposure_is_off_by_what_was_rendered(portraits: list[Portrait], shots: list[Shot]) -> None:
    """`exposure_ev` is the truth; a turned head catches up to a fifth of a stop more or less."""
    for portrait, found in zip(portraits, set_measures(shots), strict=True):
        off = found["exposure_off_stops"].value
        assert off == pytest.approx(portrait.truth["exposure_ev"], abs=0.2), portrait.path.name


def test_no_colour_of_light_changed(shots: list[Shot]) -> None:
    """Each sitter was lit by one light before one backdrop: less than one just noticeable difference."""
    for found in set_measures(shots):
        off = found["white_balance_off"].value
        assert off is None or (isinstance(off, float) and off < 1)


def test_closed_eyes_are_told_from_open_ones_by_what_is_usual(
    portraits: list[Portrait], shots: list[Shot]
) -> None:
    """Every closed or half-closed pair below what a rule calls half a blink, every open one above."""
    for portrait, found in zip(portraits, set_measures(shots), strict=True):
        probability = found["eyes_open"].value
        assert isinstance(probability, float)
        truth = portrait.people[0].eyes
        assert probability > 0.7 if truth == "open" else probability < 0.35, portrait.path.name


def test_the_stars_are_those_of_a_photographer(portraits: list[Portrait], photos: list[Photo]) -> None:
    """One pick a series, and never a blink, a soft or a badly exposed frame among the sound ones."""
    rules, _ = rules_in_force(Configuration())
    picks: Counter[str] = Counter()
    judged = judged_together(photos, rules.brief(()), {}, rules, False)
    for portrait, (photo, verdict) in zip(portraits, judged, strict=True):
        measured = {each.name: each.value for each in photo.measurements}
        stars, name = verdict.stars or 0, portrait.path.name
        if measured["series"] is not None:
            picks[str(measured["series"])] += stars >= 4
            assert ("best of series" in verdict.keywords) == (measured["series_rank"] == 1), name
        truth = portrait.truth
        if portrait.people[0].eyes == "closed" or truth["focus_sigma_px"] > 4 or truth["exposure_ev"] < -1:
            assert stars == 1, name
        if portrait.people[0].eyes == "half" or truth["exposure_ev"] > 1:
            assert stars <= 2, name
        if truth["exposure_ev"] < -1:
            assert "flash misfire" in verdict.keywords, name
    assert set(picks.values()) == {1} and len(picks) == 5
