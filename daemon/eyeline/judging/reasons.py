"""Why a photo got its score: every criterion and fault with its value, its ideal and what it cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from eyeline.judging.columns import MISSING_WORD, UNSURE, Columns
from eyeline.judging.condition import Comparison, Truth, in_words, measures_of, truth
from eyeline.judging.rulebook import Ideal
from eyeline.judging.score import Score, at
from eyeline.judging.wording import ideal_in_words, value_in_words
from eyeline.terms.measurement import Quantity, Value
from eyeline.terms.verdict import Reason


def reasons(
    score: Score,
    faults: Sequence[Truth],
    columns: Columns,
    quantities: Mapping[str, Quantity],
    row: int,
) -> tuple[Reason, ...]:
    """The reasons of photo `row`: faults by their stars, unmet requirements, criteria by their cost."""
    found = [_fault(score, index, columns, row) for index, holds in enumerate(faults) if at(holds.yes, row)]
    found.sort(key=lambda reason: reason.stars_at_most or 0)
    if not at(score.met, row):
        found += _unmet(score, columns, row)
    criteria = [_criterion(score, place, columns, quantities, row) for place in range(len(score.marks))]
    judged = [each for each in criteria if each is not None]
    judged.sort(key=lambda reason: (-reason.cost, _quality(reason)))
    return (*found, *judged)


def _fault(score: Score, index: int, columns: Columns, row: int) -> Reason:
    fault = score.rulebook.faults[index]
    test = _telling(measures_of(fault.when), columns, row)
    return Reason(
        name=fault.name,
        measure=test.measure,
        value=value_at(columns, test.measure, row),
        ideal=f"not: {in_words(fault.when)}",
        desirability=None,
        weight=0.0,
        cost=0.0,
        sentence=fault.says,
        stars_at_most=fault.stars_at_most,
    )


def _telling(tests: Sequence[Comparison], columns: Columns, row: int) -> Comparison:
    """The first comparison that holds for `row`: the one that the fault is about."""
    return next((test for test in tests if at(truth(test, columns).yes, row)), tests[0])


def _unmet(score: Score, columns: Columns, row: int) -> list[Reason]:
    found = []
    for requirement in score.rulebook.requirements:
        if at(truth(requirement.when, columns).yes, row):
            continue
        measure = measures_of(requirement.when)[0].measure
        value = float(score.value[row])
        found.append(
            Reason(
                name=requirement.name,
                measure=measure,
                value=value_at(columns, measure, row),
                ideal=in_words(requirement.when),
                desirability=None,
                weight=0.0,
                cost=value / score.rulebook.unmet - value if score.rulebook.unmet else 1.0,
                sentence=requirement.says,
            )
        )
    return found


def _criterion(
    score: Score, place: int, columns: Columns, quantities: Mapping[str, Quantity], row: int
) -> Reason | None:
    """The reason of one criterion; None where the genre does not judge this photo by it."""
    mark = score.marks[place]
    criterion = mark.criterion
    if criterion.when is not None and not at(truth(criterion.when, columns).yes, row):
        return None
    ideal = criterion.ideals[int(at(mark.chosen, row))]
    value = value_at(columns, ideal.measure, row)
    wanted = ideals_in_words(criterion.ideals, quantities)
    desirability = at(mark.desirability, row)
    if np.isnan(desirability):
        why = "the measure is not sure" if value == UNSURE else "it could not be measured"
        sentence = f"{criterion.name.replace('_', ' ')} is left out of the verdict: {why}"
        return Reason(criterion.name, ideal.measure, value, wanted, None, criterion.weight, 0.0, sentence)
    shown = abs(value) if ideal.ignore_sign and isinstance(value, float) else value
    sentence = criterion.says.replace(
        "{value}", value_in_words(shown, quantities.get(ideal.measure))
    ).replace("{ideal}", wanted)
    cost = max(0.0, score.without(place, row) - float(score.value[row]))
    return Reason(
        criterion.name, ideal.measure, value, wanted, desirability, criterion.weight, cost, sentence
    )


def _quality(reason: Reason) -> float:
    """Order among criteria that cost nothing: the less desirable first, what is not known last."""
    return 2.0 if reason.desirability is None else reason.desirability


def ideals_in_words(ideals: Sequence[Ideal], quantities: Mapping[str, Quantity]) -> str:
    """All ideals of a criterion in words; with several, each names its measure."""
    if len(ideals) == 1:
        return ideal_in_words(ideals[0], quantities.get(ideals[0].measure))
    return " or ".join(
        f"{ideal.measure.replace('_', ' ')} {ideal_in_words(ideal, quantities.get(ideal.measure))}"
        for ideal in ideals
    )


def value_at(columns: Columns, measure: str, row: int) -> Value:
    """What was measured for photo `row`, None where nothing was."""
    if measure in columns.words:
        column = columns.words[measure]
        word = str(column[row if len(column) > 1 else 0])
        return None if word == MISSING_WORD else word
    number = at(columns.number(measure), row)
    return None if np.isnan(number) else number
