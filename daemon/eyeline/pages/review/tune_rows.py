"""The ranges of a genre as they are tuned: each criterion with its frames, the numbers asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.rulebook import Criterion, Rulebook
from eyeline.judging.wording import factor_of, ideal_in_words, unit_word
from eyeline.pages.curve import Curve, curve
from eyeline.pages.review.frame_words import spoken
from eyeline.pages.review.spread import Part, Spread
from eyeline.pages.review.tuning import Wish, can_be_tuned

WIDTH, HEIGHT = 180.0, 26.0
"""Of a criterion's drawing, pixels of the page: a row is as high as its numbers."""


@dataclass(frozen=True, slots=True)
class Row:
    """A criterion: its drawing as saved and as tuned, where frames lie on it (x), and its numbers as text.

    `low`, `high`, `weight`: as saved, None where there is none to be set; those that begin with `shown`: as
    tuned. `words`: the ideal, where it is no range.
    """

    key: str
    name: str
    before: Curve | None
    after: Curve | None
    ticks: tuple[float, ...]
    low: str | None
    high: str | None
    weight: str
    unit: str
    words: str
    is_changed: bool
    shown_low: str
    shown_high: str
    shown_weight: str


def wishes_of(rulebook: Rulebook, fields: Mapping[str, str], spread: Spread) -> dict[str, Wish]:
    """What is wished for each criterion, from fields `low.NAME`, `high.NAME`, `weight.NAME` in the unit in
    which they are shown. A field that says what is saved wishes nothing. Raises ValueError."""
    found = {}
    for criterion in rulebook.criteria:
        low, high, weight = _texts(criterion, spread)
        factor = _factor(criterion, spread)
        asked = [
            _number(fields.get(f"{part}.{criterion.name}"), text)
            for part, text in (("low", low), ("high", high), ("weight", weight))
        ]
        if any(each is not None for each in asked):
            ends = [None if each is None else each / factor for each in asked[:2]]
            found[criterion.name] = Wish(ends[0], ends[1], asked[2])
    return found


def _number(text: str | None, saved: str | None) -> float | None:
    if text is None or saved is None or text.strip() == saved:
        return None
    try:
        number = float(text.replace(",", "."))
    except ValueError as error:
        raise ValueError(f"{text!r} is no number") from error
    if not isfinite(number):
        raise ValueError(f"{text!r} is no number")
    return number


def rows_of(spread: Spread, saved: Rulebook, now: Rulebook) -> list[Row]:
    """A row for each criterion of `saved`, as it would be by `now`."""
    rows = []
    judged = [
        (part, np.array([laid.row for laid in part.laid if laid.genre == saved.name], np.intp))
        for part in spread.parts
    ]
    for old, new in zip(saved.criteria, now.criteria, strict=True):
        low, high, weight = _texts(old, spread)
        new_low, new_high, new_weight = _texts(new, spread)
        quantity = spread.parts[0].rules.quantities.get(old.ideals[0].measure) if spread.parts else None
        before = after = None
        ticks: tuple[float, ...] = ()
        changed = old != new
        if can_be_tuned(old):
            ideal, other = old.ideals[0], new.ideals[0]
            values = _values(judged, old)
            ends = [
                each for each in (other.low, other.ideal_low, other.ideal_high, other.high) if isfinite(each)
            ]
            first = curve(ideal, None, [*_core(values), *ends], WIDTH, HEIGHT)
            before = first
            after = curve(other, None, (), WIDTH, HEIGHT, (first.low, first.high)) if changed else None
            ticks = tuple(sorted({first.x(float(each)) for each in _thinned(values, first)}))
        rows.append(
            Row(
                old.name,
                spoken(old.name),
                before,
                after,
                ticks,
                low,
                high,
                weight,
                unit_word(quantity),
                ideal_in_words(old.ideals[0], quantity),
                changed,
                new_low or "",
                new_high or "",
                new_weight or "",
            )
        )
    return rows


def _values(judged: Sequence[tuple[Part, NDArray[np.intp]]], criterion: Criterion) -> NDArray[np.float64]:
    """What was measured on the frames that the genre judges; `judged`: which rows of each part these are."""
    ideal = criterion.ideals[0]
    found = []
    for part, rows in judged:
        column = part.judgement.columns.number(ideal.measure) if part.judgement is not None else np.empty(0)
        if len(column) > 1 and len(rows):
            found.append(column[rows])
    values = np.concatenate(found) if found else np.empty(0)
    values = values[np.isfinite(values)]
    return np.abs(values) if ideal.ignore_sign else values


def _thinned(values: NDArray[np.float64], drawn: Curve) -> NDArray[np.float64]:
    """One of all values that fall on one tenth of a pixel: thousands of frames draw few different ticks."""
    tenths = np.rint((values - drawn.low) / (drawn.high - drawn.low or 1.0) * drawn.width * 10)
    return values[np.unique(tenths, return_index=True)[1]]


def _core(values: NDArray[np.float64]) -> list[float]:
    """Ends that a drawing should have room for: all but the outermost hundredth, so that one stray frame does
    not squeeze the rest."""
    return [float(each) for each in np.percentile(values, (1, 99))] if len(values) else []


def _texts(criterion: Criterion, spread: Spread) -> tuple[str | None, str | None, str]:
    weight = f"{criterion.weight:g}"
    if not can_be_tuned(criterion):
        return None, None, weight
    factor, ideal = _factor(criterion, spread), criterion.ideals[0]
    low, high = (
        f"{round(factor * end, 4):g}" if isfinite(end) else None
        for end in (ideal.ideal_low, ideal.ideal_high)
    )
    return low, high, weight


def _factor(criterion: Criterion, spread: Spread) -> float:
    if not spread.parts:
        return 1.0
    return factor_of(spread.parts[0].rules.quantities.get(criterion.ideals[0].measure))
