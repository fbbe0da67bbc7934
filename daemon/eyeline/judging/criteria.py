"""Criteria and their ideals, from the tables of a genre to what photos are judged by."""

from __future__ import annotations

from math import inf

from eyeline.judging.grammar import CriterionTable, IdealTable
from eyeline.judging.name_check import NameCheck, measures_in
from eyeline.judging.rulebook import Criterion, Ideal
from eyeline.toml_files.lines import KeyPath

_SHARE = "fraction"
PER_CENT_FROM = 3.0
"""Least size of an end of a share from which it was meant in per cent: no part of a portrait is
three times as large as another that it is told in."""

_DEFAULT_SAYS = "{name} is {{value}}; this genre wants {{ideal}}"


def criterion(check: NameCheck, name: str, table: CriterionTable) -> Criterion:
    """The criterion called `name`; what is wrong with it is noted in `check`."""
    key: KeyPath = ("criteria", name)
    if table.either is not None:
        if _form(table) or table.measure is not None:
            check.wrong(key, "either, or a measure with one ideal, not both")
        ideals = tuple(
            _ideal(check, (*key, "either", place), each) for place, each in enumerate(table.either)
        )
        if not ideals:
            check.wrong((*key, "either"), "expected at least one ideal")
    else:
        ideals = (_ideal(check, key, table),)
    weight = 1.0 if table.weight is None else table.weight
    if weight < 0:
        check.wrong((*key, "weight"), "a weight is not negative")
    says = table.says or _DEFAULT_SAYS.format(name=name.replace("_", " "))
    well = says.partition(";")[0] if table.well is None else table.well
    for part, text in (("says", says), ("says_negative", table.says_negative), ("well", well)):
        check.placeholders((*key, part), text or "", ("{value}", "{ideal}"))
    when = None if table.when is None else check.when(key, table.when)
    measures = {each.measure for each in ideals} | measures_in(when)
    return Criterion(
        name=name,
        ideals=ideals,
        weight=weight,
        veto=bool(table.veto),
        missing=table.missing,
        when=when,
        says=says,
        says_negative=table.says_negative,
        well=well,
        cure=table.cure or "",
        cure_below=table.cure_below or "",
        cure_above=table.cure_above or "",
        measures=frozenset(measures),
    )


def _ideal(check: NameCheck, key: KeyPath, table: IdealTable) -> Ideal:
    forms = _form(table)
    if table.measure is None:
        check.wrong(key, "missing key measure: a new criterion says what it measures")
        return Ideal("")
    quantity = check.quantity((*key, "measure"), table.measure)
    if len(forms) != 1:
        have = f"this has {' and '.join(forms)}" if forms else "this has none"
        check.wrong(key, f"an ideal needs one of between, at_least, at_most, words; {have}")
        return Ideal(table.measure)
    if quantity is not None and bool(quantity.words) != (forms[0] == "words"):
        answers = f"in words ({', '.join(quantity.words)})" if quantity.words else "with a number"
        check.wrong((*key, forms[0]), f"{table.measure} answers {answers}")
    if forms[0] == "words":
        words = table.words or {}
        for word in words:
            check.word((*key, "words", word), word, quantity)
        otherwise = table.otherwise or 0.0
        return Ideal(table.measure, words=tuple(words.items()), otherwise=otherwise)
    low, ideal_low, ideal_high, high = _ends(check, key, table)
    is_share = quantity is not None and quantity.unit.startswith(_SHARE)
    if is_share and any(PER_CENT_FROM <= abs(end) < inf for end in (ideal_low, ideal_high)):
        check.wrong((*key, forms[0]), f"{table.measure} is a share: 6 % is 0.06, not 6")
    return Ideal(
        table.measure,
        low,
        ideal_low,
        ideal_high,
        high,
        *(table.shape or (1.0, 1.0)),
        ignore_sign=bool(table.ignore_sign),
    )


def _ends(check: NameCheck, key: KeyPath, table: IdealTable) -> tuple[float, float, float, float]:
    if table.between is not None:
        low, high = table.between
        if table.limits is None:
            check.wrong(key, "between needs limits: where it becomes worthless")
            return low, low, high, high
        least, most = table.limits
        if least > low or most < high:
            text = f"the limits ({least:g} to {most:g}) must lie around the ideal ({low:g} to {high:g})"
            check.wrong((*key, "limits"), text)
        return least, low, high, most
    end = table.at_least if table.at_least is not None else table.at_most
    if end is None or table.worst is None:
        check.wrong(key, "at_least and at_most need worst: where it becomes worthless")
        return -inf, -inf, inf, inf
    if table.at_least is not None:
        if table.worst > end:
            check.wrong((*key, "worst"), "worst must lie below at_least")
        return table.worst, end, inf, inf
    if table.worst < end:
        check.wrong((*key, "worst"), "worst must lie above at_most")
    return -inf, -inf, end, table.worst


def _form(table: IdealTable) -> list[str]:
    """The ways in which `table` states an ideal; one is right."""
    return [form for form in ("between", "at_least", "at_most", "words") if getattr(table, form) is not None]
