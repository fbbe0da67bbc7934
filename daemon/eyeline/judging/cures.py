"""What would have made a frame better, in the words that the genre's rules have for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from eyeline.judging.rulebook import Criterion, Rulebook
from eyeline.terms.verdict import Reason

NOTABLE_COST = 0.01
"""Loss of score from which a cure is worth naming."""

MOST = 3
"""Cures named at most: nobody minds more than three things at the next frame."""


def cures(reasons: Sequence[Reason], rulebook: Rulebook, most: int = MOST) -> list[str]:
    """At most `most` cures by `rulebook` for what `reasons` say held the frame back, in their order.

    What is to be done, up to the colon, is said once; after it, for the cure of a number, what was found and
    what is wanted. Nothing is said of what is not known or of what no rule has a cure for.
    """
    named: dict[str, str] = {}
    for reason in reasons:
        costly = reason.stars_at_most is not None or reason.cost >= NOTABLE_COST
        if costly and reason.measure not in named and (text := _cure(reason, rulebook)):
            named[reason.measure] = text
    done: dict[str, str] = {}
    for text in named.values():
        done.setdefault(text.partition(":")[0], text)
    return list(done.values())[:most]


def _cure(reason: Reason, rulebook: Rulebook) -> str:
    own = {each.name: each.cure for each in rulebook.faults}
    own |= {each.name: each.cure for each in rulebook.requirements}
    if cure := own.get(reason.name):
        return cure
    for criterion in _judging(reason, rulebook):
        if text := _of_criterion(criterion, reason):
            found, _, _ = reason.sentence.partition(";")
            is_number = criterion.name == reason.name and reason.ideal and found
            return f"{text}: {found}; {reason.ideal} is wanted" if is_number else text
    return ""


def _judging(reason: Reason, rulebook: Rulebook) -> Iterator[Criterion]:
    """The criterion that the reason is, else those that judge the measure of a fault."""
    own = [each for each in rulebook.criteria if each.name == reason.name]
    yield from own or (
        each for each in rulebook.criteria if any(ideal.measure == reason.measure for ideal in each.ideals)
    )


def _of_criterion(criterion: Criterion, reason: Reason) -> str:
    """The cure for the side of the ideal on which the value lies."""
    ideal = next((each for each in criterion.ideals if each.measure == reason.measure), None)
    if ideal is None or reason.value is None:
        return ""
    if isinstance(reason.value, str):
        # A closed eye looks nowhere: its own fault has the cure.
        wanted = {word for word, desirability in ideal.words if desirability == 1}
        return criterion.cure if reason.value not in (*wanted, "closed") else ""
    value = abs(reason.value) if ideal.ignore_sign else float(reason.value)
    if value < ideal.ideal_low:
        return criterion.cure_below or criterion.cure
    if value > ideal.ideal_high:
        return criterion.cure_above or criterion.cure
    return ""
