"""What is said of one frame: the verdict in a sentence, its keywords, every criterion."""

from __future__ import annotations

from dataclasses import dataclass

from eyeline.deciding.own_hand import OwnHand
from eyeline.judging.cures import cures
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.wording import value_in_words
from eyeline.pages.curve import Curve, curve
from eyeline.pages.review.spread import Laid, Part
from eyeline.terms.verdict import Reason, Verdict

NOTABLE_COST = 0.005
"""Loss of score from which a criterion is said to have cost something: two decimals are shown."""

NUMBERS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@dataclass(frozen=True, slots=True)
class Judged:
    """A criterion: its name, the frame's value and the ideal in words, and the drawing where there is one."""

    name: str
    value: str
    ideal: str
    curve: Curve | None
    costs: bool


def sentence(verdict: Verdict, laid: Laid, of: int) -> str:
    """The verdict in a sentence or two."""
    if verdict.stars is None:
        why = verdict.reasons[0].sentence if verdict.reasons else "it is no portrait"
        return f"No stars: {why}."
    binds = next(
        (each for each in verdict.reasons if each.stars_at_most is not None or each.cost >= NOTABLE_COST),
        None,
    )
    number = NUMBERS[of] if of < len(NUMBERS) else str(of)
    first = f"Best of its {number}. " if laid.word and laid.twin is None and of > 1 else ""
    if binds is None:
        return f"{first}All is as {verdict.genre} wants it."
    if first or verdict.stars >= 4:
        return f"{first}What it lacks most: {binds.sentence}."
    return f"{binds.sentence[0].upper()}{binds.sentence[1:]}."


def words_of(verdict: Verdict, hand: OwnHand) -> tuple[tuple[str, bool], ...]:
    """Keywords as they stand or will stand in the sidecar, and whether each is the photographer's."""
    out = {word.casefold() for word in hand.taken_out}
    own = {word.casefold() for word in hand.words}
    ours = [word for word in verdict.keywords if word.casefold() not in out | own]
    return (*((word, False) for word in ours), *((word, True) for word in hand.words))


def cure_of(verdict: Verdict, rulebook: Rulebook) -> str:
    """What to do about what binds, as a sentence; "" where no rule has a cure."""
    found = cures(verdict.reasons, rulebook, 1) if verdict.stars else []
    if not found:
        return ""
    text = found[0].partition(":")[0]
    return f"{text[0].upper()}{text[1:]}."


def judged(part: Part, laid: Laid, verdict: Verdict, rulebook: Rulebook) -> tuple[Judged, ...]:
    """Every criterion, what cost most first."""
    criteria = {each.name: each for each in rulebook.criteria}
    found = []
    for reason in verdict.reasons:
        criterion = criteria.get(reason.name)
        if criterion is None or reason.stars_at_most is not None:
            continue
        ideal = next((each for each in criterion.ideals if each.measure == reason.measure), None)
        quantity = part.rules.quantities.get(reason.measure)
        drawn = curve(ideal, reason.value) if ideal is not None else None
        found.append(
            Judged(
                spoken(reason.name),
                value_in_words(reason.value, quantity),
                reason.ideal,
                drawn,
                _costs(reason),
            )
        )
    return tuple(found)


def spoken(name: str) -> str:
    """A criterion's name as a person reads it."""
    return name.replace("_", " ")


def _costs(reason: Reason) -> bool:
    return reason.cost >= NOTABLE_COST
