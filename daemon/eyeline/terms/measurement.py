"""A measurement: a named number (or word) with its unit, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from eyeline.terms.face import Seen
from eyeline.terms.frame import Frame, Picture
from eyeline.terms.sitter import Sitter

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
class FrameSubject:
    """What a measure of the whole frame is given: the frame, its pixels, and what was seen in it.

    `sitter` is None where no face was found, or none of its features. `known` holds the measurements taken
    before, by name; a measure may rely on those that it lists in `Measure.needs`.
    """

    frame: Frame
    picture: Picture
    seen: Seen
    sitter: Sitter | None
    known: Mapping[str, Measurement] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Subject:
    """What a measure of the sitter is given: as a `FrameSubject`, but with a sitter for certain."""

    frame: Frame
    picture: Picture
    seen: Seen
    sitter: Sitter
    known: Mapping[str, Measurement] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a measure yields: `name`, `unit`, one-line `meaning`; `words` where it answers in words."""

    name: str
    unit: str
    meaning: str
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SitterMeasure:
    """A measure of the sitter: `function` is pure and gives one Measurement per quantity.

    Without a sitter it is not called and every quantity is missing. It raises nothing for what it cannot
    measure (it answers with `missing`); an exception is a bug in the measure. `needs` names quantities of
    measures that run before it. `source`: paper, standard or 'common practice'.
    """

    quantities: tuple[Quantity, ...]
    function: Callable[[Subject], Sequence[Measurement]]
    source: str
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FrameMeasure:
    """A measure of the whole frame, called with a sitter or without; else as a `SitterMeasure`."""

    quantities: tuple[Quantity, ...]
    function: Callable[[FrameSubject], Sequence[Measurement]]
    source: str
    needs: tuple[str, ...] = ()


Measure = SitterMeasure | FrameMeasure
"""A measure, built in or brought by a guest."""
