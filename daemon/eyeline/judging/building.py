"""From the effective table of a genre to its rulebook: all that one file alone cannot show is checked."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf

from eyeline.judging.condition import Condition, Some, measures_of
from eyeline.judging.grammar import (
    CriterionTable,
    GenreTable,
    IdealTable,
    StarsTable,
    WhenOrOff,
)
from eyeline.judging.numbers_law import contradiction
from eyeline.judging.rulebook import (
    Criterion,
    CropFormat,
    Fault,
    Ideal,
    Keyword,
    Line,
    Requirement,
    Rulebook,
    Stars,
)
from eyeline.terms.measurement import Quantity
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import Problem

_PLACEHOLDER = re.compile(r"\{[^}]*\}?|\}")
_NEVER = Some(())
"""Stands in for a condition that is missing, until the mistake is reported."""

NOT_JUDGED = {
    "rank": "frames are ranked once all are judged",
    "id": "it is a name, neither a number nor a word",
    "hex": "it is a fingerprint, neither a number nor a word",
    "six digits": "it is a code, neither a number nor a word",
}
"""Units of measures that cannot be judged by, and why."""

_DEFAULT_SAYS = "{name} is {{value}}; this genre wants {{ideal}}"


@dataclass(frozen=True, slots=True)
class Known:
    """The names that rules may use: measures with their words, and keywords."""

    quantities: Mapping[str, Quantity]
    keywords: frozenset[str]


def build(
    name: str, table: GenreTable, known: Known, digest: str, lines: tuple[Line, ...]
) -> tuple[Rulebook | None, str | None, list[Problem]]:
    """The rulebook (without `crops_as`), the name of the genre that judges its crops, the problems."""
    builder = _Builder(known)
    rulebook = builder.rulebook(name, table, digest, lines)
    judged_as = table.crops.judged_as if table.crops is not None else None
    return (None if builder.problems else rulebook), judged_as, builder.problems


class _Builder:
    def __init__(self, known: Known) -> None:
        self.known = known
        self.problems: list[Problem] = []

    def rulebook(self, name: str, table: GenreTable, digest: str, lines: tuple[Line, ...]) -> Rulebook:
        criteria = tuple(self._criterion(key, each) for key, each in table.criteria.items())
        if not any(each.weight for each in criteria):
            self._wrong(("criteria",), "a genre needs at least one criterion with a weight")
        wrong = contradiction(table.criteria)
        if wrong is not None:
            self._wrong(("criteria", wrong[1][0]), wrong[0])
        if table.keyword is not None:
            self._keyword(("keyword",), table.keyword)
        crops = table.crops
        formats = crops.formats if crops is not None else {}
        if formats and (crops is None or crops.minimum is None):
            self._wrong(("crops",), "missing key minimum: the least score of a crop that is suggested")
        return Rulebook(
            name=name,
            why=table.why or "",
            caution=table.caution or "",
            keyword=table.keyword,
            floor=self._needed(("floor",), table.floor),
            unmet=self._needed(("unmet",), table.unmet),
            stars=self._stars(table.stars or StarsTable()),
            criteria=tuple(each for each in criteria if each.weight > 0),
            faults=self._faults(table),
            requirements=tuple(
                Requirement(key, self._when(("requires", key), each.when), each.says or f"wants {key}")
                for key, each in table.requires.items()
            ),
            keywords=self._words("keywords", table.keywords),
            remarks=self._words("remarks", table.remarks),
            formats=tuple(self._format(key, each.pixels) for key, each in formats.items()),
            crop_minimum=crops.minimum if crops is not None and crops.minimum is not None else 0.0,
            crown_may_be_cut=bool(crops is not None and crops.crown_may_be_cut),
            crops_as=None,
            digest=digest,
            lines=lines,
        )

    def _wrong(self, key: KeyPath, text: str, name: str = "", known: Iterable[str] = ()) -> None:
        self.problems.append(Problem(key, text, name, tuple(sorted(known))))

    def _needed(self, key: KeyPath, value: float | None) -> float:
        if value is None:
            self._wrong(key, "missing key, here and in what this genre inherits")
        return value or 0.0

    def _stars(self, table: StarsTable) -> Stars:
        cuts = [
            self._needed(("stars", key), share)
            for key, share in (
                ("two", table.two),
                ("three", table.three),
                ("four", table.four),
                ("five", table.five),
            )
        ]
        if cuts != sorted(cuts):
            self._wrong(("stars",), "more stars need a higher score: two, three, four, five must rise")
        return Stars(*cuts)

    def _criterion(self, name: str, table: CriterionTable) -> Criterion:
        key: KeyPath = ("criteria", name)
        if table.either is not None:
            if _form(table) or table.measure is not None:
                self._wrong(key, "either, or a measure with one ideal, not both")
            ideals = tuple(
                self._ideal((*key, "either", place), each) for place, each in enumerate(table.either)
            )
            if not ideals:
                self._wrong((*key, "either"), "expected at least one ideal")
        else:
            ideals = (self._ideal(key, table),)
        weight = 1.0 if table.weight is None else table.weight
        if weight < 0:
            self._wrong((*key, "weight"), "a weight is not negative")
        says = table.says or _DEFAULT_SAYS.format(name=name.replace("_", " "))
        well = says.partition(";")[0] if table.well is None else table.well
        for part, text in (("says", says), ("says_negative", table.says_negative), ("well", well)):
            self._placeholders((*key, part), text or "", ("{value}", "{ideal}"))
        when = None if table.when is None else self._when(key, table.when)
        measures = {each.measure for each in ideals} | _measures(when)
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
            measures=frozenset(measures),
        )

    def _ideal(self, key: KeyPath, table: IdealTable) -> Ideal:
        forms = _form(table)
        if table.measure is None:
            self._wrong(key, "missing key measure")
            return Ideal("")
        quantity = self._quantity((*key, "measure"), table.measure)
        if len(forms) != 1:
            have = f"this has {' and '.join(forms)}" if forms else "this has none"
            self._wrong(key, f"an ideal needs one of between, at_least, at_most, words; {have}")
            return Ideal(table.measure)
        if quantity is not None and bool(quantity.words) != (forms[0] == "words"):
            answers = f"in words ({', '.join(quantity.words)})" if quantity.words else "with a number"
            self._wrong((*key, forms[0]), f"{table.measure} answers {answers}")
        if forms[0] == "words":
            words = table.words or {}
            for word in words:
                self._word((*key, "words", word), word, quantity)
            otherwise = table.otherwise or 0.0
            return Ideal(table.measure, words=tuple(words.items()), otherwise=otherwise)
        low, ideal_low, ideal_high, high = self._ends(key, table)
        return Ideal(
            table.measure,
            low,
            ideal_low,
            ideal_high,
            high,
            *(table.shape or (1.0, 1.0)),
            ignore_sign=bool(table.ignore_sign),
        )

    def _ends(self, key: KeyPath, table: IdealTable) -> tuple[float, float, float, float]:
        if table.between is not None:
            low, high = table.between
            if table.limits is None:
                self._wrong(key, "between needs limits: where it becomes worthless")
                return low, low, high, high
            least, most = table.limits
            if least > low or most < high:
                self._wrong((*key, "limits"), "the limits must lie around the ideal (between)")
            return least, low, high, most
        end = table.at_least if table.at_least is not None else table.at_most
        if end is None or table.worst is None:
            self._wrong(key, "at_least and at_most need worst: where it becomes worthless")
            return -inf, -inf, inf, inf
        if table.at_least is not None:
            if table.worst > end:
                self._wrong((*key, "worst"), "worst must lie below at_least")
            return table.worst, end, inf, inf
        if table.worst < end:
            self._wrong((*key, "worst"), "worst must lie above at_most")
        return -inf, -inf, end, table.worst

    def _faults(self, table: GenreTable) -> tuple[Fault, ...]:
        faults = []
        for name, each in table.faults.items():
            key: KeyPath = ("faults", name)
            if each.stars_at_most is None:
                self._wrong((*key, "stars_at_most"), "missing key stars_at_most: from 0 to 5")
            elif not 0 <= each.stars_at_most <= 5:
                self._wrong((*key, "stars_at_most"), f"expected 0 to 5, found {each.stars_at_most}")
            if each.keyword is not None:
                self._keyword((*key, "keyword"), each.keyword)
            says = each.says or name.replace("_", " ")
            self._placeholders((*key, "says"), says, ())
            when = self._when(key, each.when)
            faults.append(
                Fault(
                    name,
                    when,
                    1 if each.stars_at_most is None else each.stars_at_most,
                    each.keyword,
                    says,
                    frozenset(_measures(when)),
                )
            )
        return tuple(faults)

    def _words(self, section: str, table: Mapping[str, WhenOrOff]) -> tuple[Keyword, ...]:
        found = []
        for word, each in table.items():
            if each is None:
                continue
            self._keyword((section, word), word)
            self._names((section, word), each)
            found.append(Keyword(word, each))
        return tuple(found)

    def _when(self, key: KeyPath, when: Condition | None) -> Condition:
        if when is None:
            self._wrong(key, "missing key when")
            return _NEVER
        self._names((*key, "when"), when)
        return when

    def _names(self, key: KeyPath, condition: Condition) -> None:
        for each in measures_of(condition):
            quantity = self._quantity(key, each.measure)
            if quantity is None or each.comparison == "missing":
                continue
            if bool(quantity.words) != bool(each.words):
                answers = f"in words ({', '.join(quantity.words)})" if quantity.words else "with a number"
                self._wrong(key, f"{each.measure} answers {answers}; {each.shown} does not fit")
            for word in each.words if quantity.words else ():
                self._word(key, word, quantity)

    def _quantity(self, key: KeyPath, name: str) -> Quantity | None:
        quantity = self.known.quantities.get(name)
        if quantity is None:
            self._wrong(key, f"no measure is called {name!r}", name, self.known.quantities)
        elif (why := NOT_JUDGED.get(quantity.unit)) is not None:
            self._wrong(key, f"no rule can speak of {name}: {why}")
        return quantity

    def _word(self, key: KeyPath, word: str, quantity: Quantity | None) -> None:
        if quantity is not None and quantity.words and word not in quantity.words:
            text = f"{quantity.name} never answers {word!r}"
            self._wrong(key, text, word, quantity.words)

    def _keyword(self, key: KeyPath, word: str) -> None:
        if word not in self.known.keywords:
            self._wrong(key, f"{word!r} is not in the vocabulary", word, self.known.keywords)

    def _placeholders(self, key: KeyPath, says: str, allowed: tuple[str, ...]) -> None:
        for each in _PLACEHOLDER.findall(says):
            if each not in allowed:
                self._wrong(key, f"{each} cannot be filled in; known are {', '.join(allowed) or 'none'}")

    def _format(self, name: str, pixels: tuple[int, int] | None) -> CropFormat:
        key: KeyPath = ("crops", "formats", name)
        if pixels is None:
            self._wrong(key, "missing key pixels: the least width and height of the finished crop")
            pixels = (1, 1)
        wide, high = map(int, name.split(":"))
        return CropFormat(name, wide / high, *pixels)


def _measures(condition: Condition | None) -> set[str]:
    return set() if condition is None else {each.measure for each in measures_of(condition)}


def _form(table: IdealTable) -> list[str]:
    """The ways in which `table` states an ideal; one is right."""
    return [form for form in ("between", "at_least", "at_most", "words") if getattr(table, form) is not None]
