"""One line of the accuracy table, and the errors that most lines are made from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Person


@dataclass(frozen=True)
class Row:
    """One line of the table. `reached` is None for a figure without a goal."""

    name: str
    photos: int
    measured: float | None
    figure: str
    goal: str
    reached: bool | None

    def cells(self) -> tuple[str, ...]:
        share = "" if self.measured is None else f"{100 * self.measured:.1f} %"
        verdict = "" if self.reached is None else "yes" if self.reached else "no"
        return (self.name, str(self.photos), share, self.figure, self.goal, verdict)


Truth = Callable[[Pair, Person], float | None]


@dataclass(frozen=True)
class Errors:
    """Absolute errors of one measure where truth and value both exist; `counted` includes nulls."""

    name: str
    values: np.ndarray
    signed: np.ndarray
    pairs: tuple[Pair, ...]
    counted: int

    @property
    def measured(self) -> float | None:
        return len(self.values) / self.counted if self.counted else None


def errors(
    pairs: Sequence[Pair], name: str, truth: Truth, where: Callable[[Pair, Person], bool] = lambda *_: True
) -> Errors:
    """Error of the measure `name` against `truth`, over the pairs `where` that holds."""
    kept, differences, counted = [], [], 0
    for pair in pairs:
        if pair.person is None or not where(pair, pair.person):
            continue
        true = truth(pair, pair.person)
        if true is None:
            continue
        counted += 1
        value = pair.number(name)
        if value is not None:
            kept.append(pair)
            differences.append(value - true)
    signed = np.array(differences)
    return Errors(name, np.abs(signed), signed, tuple(kept), counted)


def median_row(found: Errors, unit: str, scale: float, median: float, p95: float | None) -> Row:
    """A row with median and 95th percentile beside their goals (in the scaled unit)."""
    if not len(found.values):
        return Row(found.name, found.counted, found.measured, "none measured", "", False)
    middle, high = (float(np.percentile(found.values, q)) * scale for q in (50, 95))
    goal = f"median {median:g}{unit}" + (f", 95th {p95:g}{unit}" if p95 is not None else "")
    return Row(
        found.name,
        found.counted,
        found.measured,
        f"median {middle:.2f}{unit}, 95th {high:.2f}{unit}",
        goal,
        middle <= median and (p95 is None or high <= p95),
    )
