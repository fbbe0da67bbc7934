"""Why a photo got its score: every criterion and fault with its value, its ideal and what it cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from eyeline.judging.columns import UNSURE, Columns
from eyeline.judging.condition import Comparison, in_words, measures_of, truth
from eyeline.judging.rulebook import Criterion, Fault, Ideal, Rulebook
from eyeline.judging.score import Numbers, Weighed, chosen_ideal, desirability, logarithms, mean, score
from eyeline.judging.wording import ideal_in_words, value_in_words
from eyeline.terms.measurement import Quantity
from eyeline.terms.verdict import Reason


def reasons(rulebook: Rulebook, photo: Columns, quantities: Mapping[str, Quantity]) -> tuple[Reason, ...]:
    """The reasons of `photo`, columns of one row: faults by their stars, then the rest by its cost.

    A criterion costs what the score would gain without it; one that lowers nothing costs 0. A criterion
    that this genre does not judge such a photo by is left out.
    """
    found = [_fault(fault, photo) for fault in rulebook.faults if truth(fault.when, photo).yes[0]]
    found.sort(key=lambda reason: reason.stars_at_most or 0)
    judged = score(rulebook, photo)
    value = float(judged.value[0])
    rest: list[Reason] = [] if judged.met[0] else _unmet(rulebook, photo, value)
    factor = 1.0 if judged.met[0] else rulebook.unmet
    judges = [each for each in rulebook.criteria if each.when is None or truth(each.when, photo).yes[0]]
    marks = np.array([desirability(each, photo)[0] for each in judges])
    costs = np.maximum(0.0, factor * _without_each(judges, marks, rulebook.floor) - value)
    rest += [
        _criterion(criterion, float(mark), float(cost), photo, quantities)
        for criterion, mark, cost in zip(judges, marks, costs, strict=True)
    ]
    rest.sort(key=lambda reason: (-reason.cost, _quality(reason)))
    return (*found, *rest)


def _without_each(judges: Sequence[Criterion], marks: Numbers, floor: float) -> Numbers:
    """The geometric mean without each criterion; 0 for one that is missing or the only one."""
    present = ~np.isnan(marks)
    weights = np.where(present, [each.weight for each in judges], 0.0)
    logs = np.where(present, logarithms(marks[:, None], judges, floor)[:, 0], 0.0) * weights
    others = ~np.eye(len(marks), dtype=np.bool_)
    sums = Weighed(np.where(others, logs, 0.0).sum(axis=1), np.where(others, weights, 0.0).sum(axis=1))
    return np.where(present, mean(sums), 0.0)


def _fault(fault: Fault, photo: Columns) -> Reason:
    measure = _telling(measures_of(fault.when), photo).measure
    return Reason(
        name=fault.name,
        measure=measure,
        value=photo.value(measure, 0),
        ideal=f"not: {in_words(fault.when)}",
        desirability=None,
        weight=0.0,
        cost=0.0,
        sentence=fault.says,
        stars_at_most=fault.stars_at_most,
    )


def _telling(tests: Sequence[Comparison], photo: Columns) -> Comparison:
    """The first comparison that holds: the one that the fault is about."""
    return next((test for test in tests if truth(test, photo).yes[0]), tests[0])


def _unmet(rulebook: Rulebook, photo: Columns, value: float) -> list[Reason]:
    """Requirements that are not met: together they cost the factor on the score."""
    cost = value / rulebook.unmet - value if rulebook.unmet else 1.0
    found = []
    for requirement in rulebook.requirements:
        if not truth(requirement.when, photo).yes[0]:
            measure = measures_of(requirement.when)[0].measure
            found.append(
                Reason(
                    name=requirement.name,
                    measure=measure,
                    value=photo.value(measure, 0),
                    ideal=in_words(requirement.when),
                    desirability=None,
                    weight=0.0,
                    cost=cost,
                    sentence=requirement.says,
                )
            )
    return found


def _criterion(
    criterion: Criterion, mark: float, cost: float, photo: Columns, quantities: Mapping[str, Quantity]
) -> Reason:
    ideal = chosen_ideal(criterion, photo)
    value = photo.value(ideal.measure, 0)
    wanted = ideals_in_words(criterion.ideals, quantities)
    if np.isnan(mark):
        why = "the measure is not sure" if value == UNSURE else "it could not be measured"
        sentence = f"{criterion.name.replace('_', ' ')} is left out of the verdict: {why}"
    else:
        shown = abs(value) if ideal.ignore_sign and isinstance(value, float) else value
        in_short = value_in_words(shown, quantities.get(ideal.measure))
        sentence = criterion.says.replace("{value}", in_short).replace("{ideal}", wanted)
    return Reason(
        name=criterion.name,
        measure=ideal.measure,
        value=value,
        ideal=wanted,
        desirability=None if np.isnan(mark) else mark,
        weight=criterion.weight,
        cost=cost,
        sentence=sentence,
    )


def _quality(reason: Reason) -> float:
    """Order among what costs nothing: the less desirable first, what is not known last."""
    return 2.0 if reason.desirability is None else reason.desirability


def ideals_in_words(ideals: Sequence[Ideal], quantities: Mapping[str, Quantity]) -> str:
    """All ideals of a criterion in words; with several, each names its measure."""
    if len(ideals) == 1:
        return ideal_in_words(ideals[0], quantities.get(ideals[0].measure))
    return " or ".join(
        f"{ideal.measure.replace('_', ' ')} {ideal_in_words(ideal, quantities.get(ideal.measure))}"
        for ideal in ideals
    )
