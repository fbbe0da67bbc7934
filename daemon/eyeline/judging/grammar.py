"""The grammar of a genre file: the tables and the keys that each may have.

All keys may be absent, since a genre states only what differs from the one that it inherits. The
text beside each key is what the published JSON Schema shows to an editor.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Annotated, Any

from eyeline.judging.condition import Condition
from eyeline.judging.condition_table import condition
from eyeline.toml_files.grammar import Expected, Kind, check, expected
from eyeline.toml_files.mistake import Problem
from eyeline.toml_files.values import is_number, is_whole_number

FORMAT_NAME = re.compile(r"[1-9][0-9]{0,4}:[1-9][0-9]{0,4}")
"""A crop format: width, colon, height."""

WORD_SECTIONS = ("keywords", "remarks")
"""Sections of a genre whose entries are a word and its condition."""

NUMBERS: dict[str, Any] = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
"""JSON Schema of two numbers."""

_CONDITION = {"$ref": "#/$defs/condition"}


def _pair(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2


def _range(value: Any) -> tuple[float, float]:
    if not _pair(value) or not all(map(is_number, value)):
        raise ValueError
    if value[0] > value[1]:
        raise expected("the smaller number first", value)
    return float(value[0]), float(value[1])


def _shape(value: Any) -> tuple[float, float]:
    pair = value if isinstance(value, list) else [value, value]
    if len(pair) != 2 or not all(is_number(each) and each > 0 for each in pair):
        raise ValueError
    return float(pair[0]), float(pair[1])


def _condition(value: Any) -> Condition:
    problems: list[Problem] = []
    parsed = condition(value, (), problems)
    if problems or parsed is None:
        raise Expected(*problems)
    return parsed


Share = Annotated[
    float,
    Kind(
        "a number from 0 to 1",
        {"type": "number", "minimum": 0, "maximum": 1},
        check(lambda value: is_number(value) and 0 <= value <= 1, float),
    ),
]
Range = Annotated[tuple[float, float], Kind("two numbers, as in [0.06, 0.12]", NUMBERS, _range)]
"""Two numbers, the first not larger than the second."""

Shape = Annotated[
    tuple[float, float],
    Kind(
        "a number above 0, or two",
        {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, NUMBERS]},
        _shape,
    ),
]
"""Exponents of the desirability function below and above the ideal."""

Pixels = Annotated[
    tuple[int, int],
    Kind(
        "width and height in pixels, as in [1600, 2000]",
        {**NUMBERS, "items": {"type": "integer", "minimum": 1}},
        check(lambda value: _pair(value) and all(is_whole_number(e) and e > 0 for e in value), tuple),
    ),
]
When = Annotated[Condition, Kind("a condition", _CONDITION, _condition)]
WhenOrOff = Annotated[
    Condition | None,
    Kind(
        "a condition, or { off = true }",
        {"anyOf": [_CONDITION, {"$ref": "#/$defs/off"}]},
        lambda value: None if value == {"off": True} else _condition(value),
    ),
]
"""A condition, or None for `{ off = true }`: the inherited one does not apply."""

_text = check(lambda value: isinstance(value, str))
MeasureName = Annotated[str, Kind("the name of a measure in quotes", {"$ref": "#/$defs/measure"}, _text)]
KeywordName = Annotated[str, Kind("a word of the vocabulary in quotes", {"$ref": "#/$defs/keyword"}, _text)]
FormatName = Annotated[
    str,
    Kind(
        'a format as width:height, such as "4:5"',
        {"type": "string", "pattern": f"^{FORMAT_NAME.pattern}$"},
        check(lambda value: FORMAT_NAME.fullmatch(value) is not None),
    ),
]


@dataclass(frozen=True, slots=True)
class IdealTable:
    """An ideal among several, of which the best counts."""

    measure: Annotated[MeasureName | None, "the measure that is judged"] = None
    between: Annotated[Range | None, "ideal from the first to the second number"] = None
    limits: Annotated[Range | None, "worthless at and beyond these numbers"] = None
    at_least: Annotated[float | None, "ideal from here on up; goes with `worst`"] = None
    at_most: Annotated[float | None, "ideal from here on down; goes with `worst`"] = None
    worst: Annotated[float | None, "worthless here and beyond"] = None
    words: Annotated[
        dict[str, Share] | None, "desirability, 0 to 1, of each word that the measure may answer"
    ] = None
    otherwise: Annotated[Share | None, "desirability of all other words; 0 if left out"] = None
    shape: Annotated[
        Shape | None, "exponent of the fall: below 1 forgiving, above 1 strict; or [below, above]"
    ] = None
    ignore_sign: Annotated[bool | None, "judge the size of a signed number"] = None


@dataclass(frozen=True, slots=True)
class CriterionTable(IdealTable):
    """One thing that the genre wants."""

    either: Annotated[list[IdealTable] | None, "several ideals, of which the best counts"] = None
    weight: Annotated[float | None, "how much it counts beside the others; 1 if left out, 0 = not at all"] = (
        None
    )
    veto: Annotated[bool | None, "a worthless value makes the whole frame worthless"] = None
    missing: Annotated[
        Share | None, "desirability of a value that could not be taken; left out = not judged"
    ] = None
    when: Annotated[When | None, "judged only where this holds"] = None
    says: Annotated[
        str | None, "sentence for people, with {value}; what is wanted, {ideal}, follows after a semicolon"
    ] = None
    says_negative: Annotated[str | None, "the same for values below 0, of which {value} is the size"] = None
    well: Annotated[
        str | None, "sentence where all is as wanted; left out, it is the half before the semicolon"
    ] = None
    cure: Annotated[str | None, "what to do where it is not as wanted, whichever way it is off"] = None
    cure_below: Annotated[str | None, "what to do where the value is below the ideal"] = None
    cure_above: Annotated[str | None, "what to do where the value is above the ideal"] = None
    off: Annotated[bool | None, "true = this inherited criterion does not apply"] = None


@dataclass(frozen=True, slots=True)
class FaultTable:
    """What caps the stars, whatever the score."""

    when: Annotated[When | None, "the fault is there where this holds"] = None
    stars_at_most: Annotated[
        int | None, "1 = a dud, 2 = weak, 3 = in doubt; more are not given. 0 = none: a person looks"
    ] = None
    keyword: Annotated[KeywordName | None, "word of the vocabulary to write"] = None
    says: Annotated[str | None, "sentence for people"] = None
    cure: Annotated[str | None, "what to do against it; left out, the cure of what judges its measure"] = None
    off: Annotated[bool | None, "true = this inherited fault does not apply"] = None


@dataclass(frozen=True, slots=True)
class RequirementTable:
    """What a frame must be for this genre to claim it."""

    when: Annotated[When | None, "the requirement is met where this holds"] = None
    says: Annotated[str | None, "sentence for people: what this genre wants"] = None
    cure: Annotated[str | None, "what to do to meet it"] = None
    off: Annotated[bool | None, "true = this inherited requirement does not apply"] = None


@dataclass(frozen=True, slots=True)
class FormatTable:
    """One crop format."""

    pixels: Annotated[Pixels | None, "least width and height of the finished crop, pixels"] = None
    off: Annotated[bool | None, "true = this inherited format is not offered"] = None


@dataclass(frozen=True, slots=True)
class CropsTable:
    """Which crops are suggested."""

    minimum: Annotated[Share | None, "a crop that scores less is not suggested"] = None
    judged_as: Annotated[str | None, "genre by which crops are judged, if not by this one"] = None
    crown_may_be_cut: Annotated[bool | None, "true = crops may cut the crown; the chin is never cut"] = None
    formats: Annotated[dict[FormatName, FormatTable], 'formats as "width:height"'] = field(
        default_factory=dict
    )


@dataclass(frozen=True, slots=True)
class StarsTable:
    """The least score for each number of stars."""

    two: Annotated[Share | None, "least score for two stars"] = None
    three: Annotated[Share | None, "least score for three stars"] = None
    four: Annotated[Share | None, "least score for four stars"] = None
    five: Annotated[Share | None, "least score for five stars, where eyeline may give them at all"] = None


@dataclass(frozen=True, slots=True)
class GenreTable:
    """A genre."""

    name: Annotated[
        str | None, "name of the genre; a file of yours with a shipped name changes that genre"
    ] = None
    inherits: Annotated[str | None, "genre whose rules apply where this file says nothing else"] = None
    abstract: Annotated[bool | None, "true = only there to be inherited, not a genre to judge by"] = None
    why: Annotated[str | None, "what the genre is for, in one sentence"] = None
    caution: Annotated[str | None, "to be said wherever a verdict of this genre is shown"] = None
    keyword: Annotated[KeywordName | None, "word of the vocabulary for frames that serve this genre"] = None
    floor: Annotated[
        Share | None, "what a worthless criterion without veto still counts, so that others are heard"
    ] = None
    unmet: Annotated[Share | None, "factor on the score where a requirement is not met"] = None
    stars: Annotated[StarsTable | None, "least scores for stars"] = None
    requires: Annotated[dict[str, RequirementTable], "what a frame must be for this genre to claim it"] = (
        field(default_factory=dict)
    )
    criteria: Annotated[dict[str, CriterionTable], "what the genre wants"] = field(default_factory=dict)
    faults: Annotated[dict[str, FaultTable], "what caps the stars"] = field(default_factory=dict)
    keywords: Annotated[dict[str, WhenOrOff], "words of the vocabulary and when they are written"] = field(
        default_factory=dict
    )
    remarks: Annotated[
        dict[str, WhenOrOff], "words that stand in the explanation and are not written: they separate nothing"
    ] = field(default_factory=dict)
    crops: Annotated[CropsTable | None, "which crops are suggested"] = None
