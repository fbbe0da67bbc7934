"""A rulebook: the effective rules of one genre, frozen."""

from __future__ import annotations

from dataclasses import dataclass, field

from eyeline.judging.condition import Condition


@dataclass(frozen=True, slots=True)
class Ideal:
    """What one measure should be.

    For a number: desirability 1 between `ideal_low` and `ideal_high`, falling to 0 at `low` and
    `high` (infinite = open on that side), with the paper's shapes. For a word: `words` with their
    desirabilities, `otherwise` for the rest. `ignore_sign`: judge the size of a signed number.
    """

    measure: str
    low: float = 0.0
    ideal_low: float = 0.0
    ideal_high: float = 0.0
    high: float = 0.0
    shape_below: float = 1.0
    shape_above: float = 1.0
    words: tuple[tuple[str, float], ...] = ()
    otherwise: float = 0.0
    ignore_sign: bool = False


@dataclass(frozen=True, slots=True)
class Criterion:
    """One thing that the genre wants; the best of `ideals` counts.

    `measures`: all that `ideals` and `when` speak of.

    `veto`: a desirability of 0 makes the score 0. `missing`: the desirability of a value that could
    not be taken; None = it stays out of the verdict. `when`: applies only where this holds.
    `says`: sentence with {value} and {ideal}; `says_negative`: the same for values below 0; `well`: the
    sentence where all is as wanted. `cure_below`, `cure_above`: what to do where the value is below or above
    the ideal, `cure` on either side; "" where nobody can help it.
    """

    name: str
    ideals: tuple[Ideal, ...]
    weight: float
    veto: bool
    missing: float | None
    when: Condition | None
    says: str
    measures: frozenset[str]
    says_negative: str | None = None
    well: str = ""
    cure: str = ""
    cure_below: str = ""
    cure_above: str = ""


@dataclass(frozen=True, slots=True)
class Fault:
    """What caps the stars, whatever the score; at 0 the frame gets none and waits for a person.

    `keyword`: a word of the vocabulary, or None. `measures`: all that `when` speaks of. `cure`: what to do
    against it; "" = the cure of the criterion that judges the same measure.
    """

    name: str
    when: Condition
    stars_at_most: int
    keyword: str | None
    says: str
    measures: frozenset[str]
    cure: str = ""


@dataclass(frozen=True, slots=True)
class Requirement:
    """What a frame must be for this genre to claim it. `cure`: what to do to meet it."""

    name: str
    when: Condition
    says: str
    cure: str = ""


@dataclass(frozen=True, slots=True)
class Keyword:
    """A word of the vocabulary and when it fits."""

    word: str
    when: Condition


@dataclass(frozen=True, slots=True)
class CropFormat:
    """A format such as "4:5": `ratio` of width to height, `width` and `height` the least pixels."""

    name: str
    ratio: float
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Stars:
    """The least score for two, three, four and five stars."""

    two: float
    three: float
    four: float
    five: float


@dataclass(frozen=True, slots=True)
class RuleLine:
    """One effective line of a genre and where it comes from."""

    key: str
    value: str
    file: str
    line: int | None


@dataclass(frozen=True, slots=True)
class Rulebook:
    """The effective rules of one genre.

    `keyword`: the word of the vocabulary that names its use. `floor`: see `desirability.lift`.
    `unmet`: factor on the score of a frame that does not meet a requirement. `crops_as`: the genre
    by which crops are judged, None = this one. `remarks`: words
    that are explained but not written. `caution`: to be said wherever its verdict is shown.
    `digest`: BLAKE2b hex of the effective rules. `lines`: the same, with the origin of each.
    """

    name: str
    why: str
    caution: str
    keyword: str | None
    floor: float
    unmet: float
    stars: Stars
    criteria: tuple[Criterion, ...]
    faults: tuple[Fault, ...]
    requirements: tuple[Requirement, ...]
    keywords: tuple[Keyword, ...]
    formats: tuple[CropFormat, ...]
    crop_minimum: float
    crown_may_be_cut: bool
    crops_as: Rulebook | None
    digest: str
    remarks: tuple[Keyword, ...] = ()
    lines: tuple[RuleLine, ...] = field(repr=False, default=())
