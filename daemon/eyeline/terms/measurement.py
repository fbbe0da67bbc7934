"""A measurement: a named number (or word) with its unit, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from eyeline.terms.eyes import EyesSeen
from eyeline.terms.face import Seen
from eyeline.terms.frame import Frame, Picture
from eyeline.terms.points import Points

Value = float | int | bool | str | None


@dataclass(frozen=True, slots=True)
class Measurement:
    """`value` is None exactly when `missing` says in plain words why it could not be taken."""

    name: str
    value: Value
    missing: str | None = None

    def __post_init__(self) -> None:
        if (self.value is None) == (self.missing is None):
            raise ValueError(f"{self.name}: give a value or the reason why it is missing, not both")


@dataclass(frozen=True, slots=True, eq=False)
class Subject:
    """What a measure is given: the frame, its pixels, what was seen in it, and the sitter's points and eyes.

    `points` and `eyes` are None without a sitter. `known` holds the measurements taken before, by name; a
    measure may rely on those that it lists in `Measure.needs`.
    """

    frame: Frame
    picture: Picture
    seen: Seen
    points: Points | None
    known: Mapping[str, Measurement] = field(default_factory=dict)
    eyes: EyesSeen | None = None


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a measure yields: `name`, `unit`, one-line `meaning`; `words` where it answers in words."""

    name: str
    unit: str
    meaning: str
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure, built in or guest: a pure function from a Subject to one Measurement per quantity.

    `function` raises nothing for what it cannot measure (it answers with `missing`); an exception
    is a bug in the measure. `needs` names quantities of measures that run before it.
    `needs_sitter`: without a sitter the function is not called and every quantity is missing.
    `source`: paper, standard or 'common practice'.
    """

    quantities: tuple[Quantity, ...]
    function: Callable[[Subject], Sequence[Measurement]]
    source: str
    needs: tuple[str, ...] = ()
    needs_sitter: bool = True
