"""Another range or weight tried on all frames at once: judged by the very code that judges them. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite

from eyeline.agreement.proposal import Agreement, Change, RangeChange, WeightChange, agreement
from eyeline.judging.rulebook import Criterion, Ideal, Rulebook
from eyeline.judging.verdict import judged_otherwise
from eyeline.pages.review.spread import Laid, Part, Spread


@dataclass(frozen=True, slots=True)
class Wish:
    """What a criterion shall be: ends of the ideal and weight, in the measure's own unit; None = as it is."""

    low: float | None = None
    high: float | None = None
    weight: float | None = None


@dataclass(frozen=True, slots=True)
class Tried:
    """One frame that the genre judges, before and after."""

    laid: Laid
    stars_before: int
    stars_after: int
    score_before: float
    score_after: float


@dataclass(frozen=True, slots=True)
class Trial:
    """All frames on which the genre is served before or after; agreement with the photographer's own stars on
    those that have some, None below two."""

    tried: tuple[Tried, ...]
    agreement_before: Agreement | None
    agreement_after: Agreement | None

    @property
    def changed(self) -> tuple[Tried, ...]:
        """Those whose stars change, those that rise first."""
        found = [each for each in self.tried if each.stars_before != each.stars_after]
        return tuple(sorted(found, key=lambda each: each.stars_before - each.stars_after))


def can_be_tuned(criterion: Criterion) -> bool:
    """Whether it has one range of numbers; either-or and words are for the rule file."""
    return len(criterion.ideals) == 1 and not criterion.ideals[0].words


def tuned(rulebook: Rulebook, wishes: Mapping[str, Wish]) -> Rulebook:
    """`rulebook` with `wishes` by criterion. Raises ValueError for a range that is none."""
    return replace(
        rulebook,
        criteria=tuple(
            _tuned(each, wishes[each.name]) if each.name in wishes else each for each in rulebook.criteria
        ),
    )


def changes(before: Rulebook, after: Rulebook) -> tuple[Change, ...]:
    """What `after` says otherwise, as the rule file takes it."""
    found: list[Change] = []
    for old, new in zip(before.criteria, after.criteria, strict=True):
        if old.weight != new.weight:
            found.append(WeightChange(old.name, old.weight, new.weight))
        if old.ideals != new.ideals:
            found.append(
                RangeChange(old.name, old.ideals[0].measure, _ends(old.ideals[0]), _ends(new.ideals[0]))
            )
    return tuple(found)


def trial(
    spread: Spread, name: str, after: Rulebook, own_stars: Mapping[str, int], five_stars: bool
) -> Trial:
    """What `after`, in place of the genre called `name`, makes of the frames in `spread`. `own_stars`: what
    the photographer gave, by the frame's key."""
    tried: list[Tried] = []
    for part in spread.parts:
        if part.judgement is not None and any(each.name == name for each in part.brief):
            tried += _of_part(part, name, after, five_stars)
    rated = [each for each in tried if each.laid.key in own_stars]
    theirs = [own_stars[each.laid.key] for each in rated]
    if len(rated) < 2:
        return Trial(tuple(tried), None, None)
    return Trial(
        tuple(tried),
        agreement(theirs, [each.stars_before for each in rated]),
        agreement(theirs, [each.stars_after for each in rated]),
    )


def _of_part(part: Part, name: str, after: Rulebook, five_stars: bool) -> list[Tried]:
    assert part.judgement is not None and part.table is not None
    place = next(number for number, each in enumerate(part.brief) if each.name == name)
    found = judged_otherwise(part.judgement, place, after, five_stars=five_stars)
    stars = part.table.stars(found)
    serves = (found.served == place) & (stars > 0)
    return [
        Tried(
            laid,
            laid.stars or 0,
            int(stars[row]),
            float(part.judgement.scores[row, place]),
            float(found.scores[row, place]),
        )
        for row, laid in enumerate(part.laid)
        if serves[row] or laid.genre == name
    ]


def _tuned(criterion: Criterion, wish: Wish) -> Criterion:
    if wish.weight is not None:
        if not (isfinite(wish.weight) and wish.weight >= 0):
            raise ValueError("a weight is 0 or more")
        criterion = replace(criterion, weight=wish.weight)
    if wish.low is None and wish.high is None:
        return criterion
    if not can_be_tuned(criterion):
        raise ValueError(f"{criterion.name} is no range of numbers")
    return replace(criterion, ideals=(_moved(criterion.ideals[0], wish),))


def _moved(ideal: Ideal, wish: Wish) -> Ideal:
    """The ideal between other ends. A limit that would lie inside is moved out as far as it was before."""
    low = ideal.ideal_low if wish.low is None else wish.low
    high = ideal.ideal_high if wish.high is None else wish.high
    if isfinite(ideal.ideal_low) != isfinite(low) or isfinite(ideal.ideal_high) != isfinite(high):
        raise ValueError("an open side stays open")
    if low > high:
        raise ValueError("a range goes from its lower end to its upper one")
    least = low - (ideal.ideal_low - ideal.low) if isfinite(low) and low < ideal.low else ideal.low
    most = high + (ideal.high - ideal.ideal_high) if isfinite(high) and high > ideal.high else ideal.high
    return replace(ideal, low=least, ideal_low=low, ideal_high=high, high=most)


def _ends(ideal: Ideal) -> tuple[float, float, float, float]:
    return ideal.low, ideal.ideal_low, ideal.ideal_high, ideal.high


def judges(spread: Spread) -> Sequence[tuple[str, int]]:
    """Genres of the briefs and how many frames each serves best, the commonest first."""
    counts: dict[str, int] = {}
    for part in spread.parts:
        for each in part.brief:
            counts.setdefault(each.name, 0)
        for laid in part.laid:
            if laid.genre:
                counts[laid.genre] = counts.get(laid.genre, 0) + 1
    return sorted(counts.items(), key=lambda each: -each[1])
