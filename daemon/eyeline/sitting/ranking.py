"""Which frame of a series is the best, once all are judged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import floor, log

from eyeline.judging.verdict import MOST_KEYWORDS
from eyeline.judging.vocabulary import Vocabulary
from eyeline.terms.measurement import Measurement
from eyeline.terms.verdict import Reason, Verdict

BEST, ALTERNATE = "best of series", "alternate"
"""Words of the vocabulary."""

SOUND = 3
"""Stars of a sound frame, by common practice: only such a one is called the best or an alternate, and no twin
of a better frame falls lower for that alone."""

EYES_STEPS = (0.5, 0.8)
"""Probabilities of open eyes at which a frame rises a step: more likely open than not; sure."""

SHARP_IRIS = 0.015
"""Blur as a share of the iris below which no frame is sharper than another to the eye."""

SHARPNESS_STEP = 1.5
"""Ratio of two blurs that is seen side by side (common practice)."""

NEAR_EQUAL = 0.05
"""Difference of two scores up to which a frame of equal eyes and sharpness is an alternate."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A frame with its verdict as shot; `series` is its id, None where it has none."""

    name: str
    series: str | None
    verdict: Verdict
    measurements: Mapping[str, Measurement]


@dataclass(frozen=True, slots=True)
class Placed:
    """The verdict after ranking; `rank` is 1 for the best of a series, None for a frame of none."""

    verdict: Verdict
    rank: int | None


def best_of_series(judged: Sequence[Judged], vocabulary: Vocabulary) -> tuple[Placed, ...]:
    """Rank the frames of each series, name the best and its near-equals, leave four stars to one.

    Stars come first (faults have set them), then eyes, sharpness, and the score, in which gaze and
    framing count. A frame outside a series keeps its verdict.
    """
    placed = [Placed(each.verdict, None) for each in judged]
    for ordered, sharpest in _in_order(judged):
        best = judged[ordered[0]]
        for place, row in enumerate(ordered, start=1):
            word = _word(judged[row], best, place, sharpest)
            verdict = with_word(judged[row].verdict, word, vocabulary)
            if place > 1:
                verdict = _twin(verdict, place, len(ordered), best.name)
            placed[row] = Placed(verdict, place)
    return tuple(placed)


def twins(judged: Sequence[Judged]) -> list[int]:
    """The rows that are not the best of their series, which leaves them `SOUND` stars at most."""
    return [row for ordered, _ in _in_order(judged) for row in ordered[1:]]


def _in_order(judged: Sequence[Judged]) -> Iterator[tuple[list[int], float]]:
    """The rows of each series of several, the best first, and the least blur among them."""
    groups: dict[str, list[int]] = {}
    for row, each in enumerate(judged):
        if each.series is not None and each.verdict.stars is not None:
            groups.setdefault(each.series, []).append(row)
    for rows in groups.values():
        if len(rows) > 1:
            blurs = [blur for row in rows if (blur := _blur(judged[row])) is not None]
            sharpest = min(blurs, default=SHARP_IRIS)
            yield sorted(rows, key=lambda row: (*_merit(judged[row], sharpest), row)), sharpest


def _number(each: Judged, measure: str) -> float | None:
    taken = each.measurements.get(measure)
    value = None if taken is None else taken.value
    return None if value is None or isinstance(value, str) else float(value)


def _blur(each: Judged) -> float | None:
    return _number(each, "eye_blur_iris")


def _eyes(each: Judged) -> int:
    """Steps that the eyes are short of surely open; 1 where unknown."""
    probability = _number(each, "eyes_open")
    return 1 if probability is None else sum(probability < step for step in EYES_STEPS)


def _softness(each: Judged, sharpest: float) -> int:
    """Visible steps softer than the sharpest; 1 where unknown."""
    blur = _blur(each)
    if blur is None:
        return 1
    steps = log(max(blur, SHARP_IRIS) / max(sharpest, SHARP_IRIS)) / log(SHARPNESS_STEP)
    return max(0, floor(steps + 1e-9))


def _merit(each: Judged, sharpest: float) -> tuple[float, ...]:
    """Smaller is better."""
    stars = each.verdict.stars or 0
    return -stars, _eyes(each), _softness(each, sharpest), -each.verdict.score


def _word(each: Judged, best: Judged, place: int, sharpest: float) -> str | None:
    if (each.verdict.stars or 0) < SOUND:
        return None
    if place == 1:
        return BEST
    near = (
        _eyes(each) <= _eyes(best)
        and _softness(each, sharpest) <= _softness(best, sharpest)
        and each.verdict.score >= best.verdict.score - NEAR_EQUAL
    )
    return ALTERNATE if near else None


def with_word(verdict: Verdict, word: str | None, vocabulary: Vocabulary) -> Verdict:
    """`verdict` with one more keyword at its place; the last is dropped where they become too many."""
    if word is None or word not in vocabulary.ids:
        return verdict
    (written,) = vocabulary.written((word,))
    if written in verdict.keywords:
        return verdict
    order = {text: place for place, text in enumerate(vocabulary.written(vocabulary.ids))}
    keywords = sorted((*verdict.keywords, written), key=lambda text: order.get(text, len(order)))
    return replace(verdict, keywords=tuple(keywords[:MOST_KEYWORDS]))


def _twin(verdict: Verdict, place: int, of: int, best: str) -> Verdict:
    """At most three stars beside a better frame, with the reason."""
    if (verdict.stars or 0) <= SOUND:
        return verdict
    reason = Reason(
        name="series",
        measure="series_rank",
        value=place,
        ideal="1, the best",
        desirability=None,
        weight=0.0,
        cost=0.0,
        sentence=f"{_ordinal(place)} of {of} in its series; the best is {best}",
        stars_at_most=SOUND,
    )
    return replace(verdict, stars=SOUND, reasons=(reason, *verdict.reasons))


def _ordinal(place: int) -> str:
    ending = "th" if place % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(place % 10, "th")
    return f"{place}{ending}"
