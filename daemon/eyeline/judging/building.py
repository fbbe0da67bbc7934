"""From the effective table of a genre to its rulebook: all that one file alone cannot show is checked."""

from __future__ import annotations

from collections.abc import Mapping

from eyeline.judging.criteria import criterion
from eyeline.judging.grammar import GenreTable, StarsTable, WhenOrOff
from eyeline.judging.name_check import Known, NameCheck, measures_in
from eyeline.judging.numbers_law import contradiction
from eyeline.judging.rulebook import CropFormat, Fault, Keyword, Requirement, Rulebook, RuleLine, Stars
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import Problem


def build(
    name: str, table: GenreTable, known: Known, digest: str, lines: tuple[RuleLine, ...]
) -> tuple[Rulebook | None, str | None, list[Problem]]:
    """The rulebook (without `crops_as`), the name of the genre that judges its crops, the problems."""
    check = NameCheck(known)
    rulebook = _rulebook(check, name, table, digest, lines)
    judged_as = table.crops.judged_as if table.crops is not None else None
    return (None if check.problems else rulebook), judged_as, check.problems


def _rulebook(
    check: NameCheck, name: str, table: GenreTable, digest: str, lines: tuple[RuleLine, ...]
) -> Rulebook:
    criteria = tuple(criterion(check, key, each) for key, each in table.criteria.items())
    if not any(each.weight for each in criteria):
        check.wrong(("criteria",), "a genre needs at least one criterion with a weight")
    wrong = contradiction(table.criteria)
    if wrong is not None:
        check.wrong(("criteria", wrong[1][0]), wrong[0])
    if table.keyword is not None:
        check.keyword(("keyword",), table.keyword)
    crops = table.crops
    formats = crops.formats if crops is not None else {}
    if formats and (crops is None or crops.minimum is None):
        check.wrong(("crops",), "missing key minimum: the least score of a crop that is suggested")
    return Rulebook(
        name=name,
        why=table.why or "",
        caution=table.caution or "",
        keyword=table.keyword,
        floor=check.needed(("floor",), table.floor),
        unmet=check.needed(("unmet",), table.unmet),
        stars=_stars(check, table.stars or StarsTable()),
        criteria=tuple(each for each in criteria if each.weight > 0),
        faults=_faults(check, table),
        requirements=tuple(
            Requirement(
                key,
                check.when(("requires", key), each.when),
                each.says or f"wants {key}",
                each.cure or "",
            )
            for key, each in table.requires.items()
        ),
        keywords=_words(check, "keywords", table.keywords),
        remarks=_words(check, "remarks", table.remarks),
        formats=tuple(_format(check, key, each.pixels) for key, each in formats.items()),
        crop_minimum=crops.minimum if crops is not None and crops.minimum is not None else 0.0,
        crown_may_be_cut=bool(crops is not None and crops.crown_may_be_cut),
        crops_as=None,
        digest=digest,
        lines=lines,
    )


def _stars(check: NameCheck, table: StarsTable) -> Stars:
    cuts = [
        check.needed(("stars", key), share)
        for key, share in (
            ("two", table.two),
            ("three", table.three),
            ("four", table.four),
            ("five", table.five),
        )
    ]
    if cuts != sorted(cuts):
        check.wrong(("stars",), "more stars need a higher score: two, three, four, five must rise")
    return Stars(*cuts)


def _faults(check: NameCheck, table: GenreTable) -> tuple[Fault, ...]:
    faults = []
    for name, each in table.faults.items():
        key: KeyPath = ("faults", name)
        if each.stars_at_most is None:
            check.wrong(
                (*key, "stars_at_most"), "missing key: how many stars such a frame has at most, from 0 to 5"
            )
        elif not 0 <= each.stars_at_most <= 5:
            check.wrong((*key, "stars_at_most"), f"expected 0 to 5, found {each.stars_at_most}")
        if each.keyword is not None:
            check.keyword((*key, "keyword"), each.keyword)
        says = each.says or name.replace("_", " ")
        check.placeholders((*key, "says"), says, ())
        when = check.when(key, each.when)
        faults.append(
            Fault(
                name,
                when,
                1 if each.stars_at_most is None else each.stars_at_most,
                each.keyword,
                says,
                frozenset(measures_in(when)),
                each.cure or "",
            )
        )
    return tuple(faults)


def _words(check: NameCheck, section: str, table: Mapping[str, WhenOrOff]) -> tuple[Keyword, ...]:
    found = []
    for word, each in table.items():
        if each is None:
            continue
        check.keyword((section, word), word)
        check.names((section, word), each)
        found.append(Keyword(word, each))
    return tuple(found)


def _format(check: NameCheck, name: str, pixels: tuple[int, int] | None) -> CropFormat:
    key: KeyPath = ("crops", "formats", name)
    if pixels is None:
        check.wrong(key, "missing key pixels: the least width and height of the finished crop")
        pixels = (1, 1)
    wide, high = map(int, name.split(":"))
    return CropFormat(name, wide / high, *pixels)
