"""The view on which a genre is tuned: its ranges over all frames, every score before and after."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.rulebook import Criterion, Rulebook
from eyeline.judging.wording import factor_of, ideal_in_words, unit_word
from eyeline.pages.curve import Curve, curve
from eyeline.pages.hanging import Stave, hang
from eyeline.pages.review.frame_words import NUMBERS, spoken
from eyeline.pages.review.spread import Part, Spread
from eyeline.pages.review.tuning import Trial, Tried, Wish, can_be_tuned

WIDTH, HEIGHT = 180.0, 26.0
SLOPE_WIDTH, SLOPE_HEIGHT = 212.0, 540.0
LOWEST = 0.6
"""Score at which the drawing begins, unless a frame lies lower: below, stars are few anyway."""

MOST_PAIRS = 8
"""Frames that are shown, of those whose stars change."""

PAIR_SIDE = 220.0
ENOUGH_RATED = 20
"""Own ratings from which agreement says anything."""


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


@dataclass(frozen=True, slots=True)
class Slope:
    """Scores before and after, as path data: of frames whose stars stay, rise and fall. `marks`: heights of
    tenths, with their words."""

    same: str
    more: str
    fewer: str
    marks: tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True)
class TunePage:
    """All that the view shows. `state`: of the rule file on which changes are made; `file`: its name."""

    genre: str
    genres: Sequence[tuple[str, int]]
    frames: int
    rows: tuple[Row, ...]
    trial: Trial
    slope: Slope
    pairs: tuple[Tried, ...]
    stave: Stave
    sentence: str
    agreement: str
    state: str
    file: str
    can_undo: bool
    mistake: str


def tune_page(
    spread: Spread,
    genres: Sequence[tuple[str, int]],
    saved: Rulebook,
    now: Rulebook,
    trial: Trial,
    rated: int,
    state: str,
    file: str,
    can_undo: bool,
    mistake: str,
) -> TunePage:
    """The page of the genre `saved`, tuned to `now`. `rated`: frames with own stars, over all genres."""
    frames = len(spread.frames)
    pairs = trial.changed[:MOST_PAIRS]
    stave = hang(
        [(each.laid.frame, each.laid.points) for each in pairs],
        [PAIR_SIDE / max(each.laid.frame.width, each.laid.frame.height) for each in pairs],
        [None] * len(pairs),
    )
    return TunePage(
        saved.name,
        genres,
        frames,
        tuple(_rows(spread, saved, now)),
        trial,
        _slope(trial),
        pairs,
        stave,
        _sentence(trial, saved, now),
        _agreement(trial, rated, frames),
        state,
        file,
        can_undo,
        mistake,
    )


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


def _rows(spread: Spread, saved: Rulebook, now: Rulebook) -> list[Row]:
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


def _slope(trial: Trial) -> Slope:
    scores = np.array([(each.score_before, each.score_after) for each in trial.tried]).reshape(-1, 2)
    low = min(LOWEST, float(np.floor(10 * scores[scores > 0].min(initial=LOWEST)) / 10))
    heights = _heights(scores, low)
    lines: dict[int, dict[tuple[float, float], None]] = {-1: {}, 0: {}, 1: {}}
    for each, (before, after) in zip(trial.tried, heights.tolist(), strict=True):
        step = (each.stars_after > each.stars_before) - (each.stars_after < each.stars_before)
        lines[step][before, after] = None  # thousands of frames draw few different lines
    paths = {
        step: "".join(f"M0 {before}L{SLOPE_WIDTH:g} {after}" for before, after in of_step)
        for step, of_step in lines.items()
    }
    tenths = np.arange(round(10 * low), 11, 2 if low < 0.3 else 1) / 10
    marks = tuple(
        (height, f"{tenth:.1f}") for height, tenth in zip(_heights(tenths, low).tolist(), tenths, strict=True)
    )
    return Slope(paths[0], paths[1], paths[-1], marks)


def _heights(scores: NDArray[np.float64], low: float) -> NDArray[np.float64]:
    return np.round(SLOPE_HEIGHT * (1 - (np.maximum(scores, low) - low) / (1 - low)), 1)


def _sentence(trial: Trial, saved: Rulebook, now: Rulebook) -> str:
    if saved == now:
        return f"{saved.name[0].upper()}{saved.name[1:]} as it is saved. Move a range or a weight."
    more = sum(each.stars_after > each.stars_before for each in trial.tried)
    fewer = sum(each.stars_after < each.stars_before for each in trial.tried)
    if not more and not fewer:
        return "No stars change."
    parts = [f"{_counted(more)} {'rises' if more == 1 else 'rise'}"] if more else []
    parts += [f"{_counted(fewer)} {'falls' if fewer == 1 else 'fall'}"] if fewer else []
    text = " and ".join(parts)
    return f"{text[0].upper()}{text[1:]}. No other stars change."


def _counted(number: int) -> str:
    word = NUMBERS[number] if number < len(NUMBERS) else str(number)
    return f"{word} {'frame' if number == 1 else 'frames'}"


def _agreement(trial: Trial, rated: int, frames: int) -> str:
    before, after = trial.agreement_before, trial.agreement_after
    if before is None or after is None or before.photos < ENOUGH_RATED:
        have = "none" if not rated else f"{rated}"
        return (
            f"You have rated {have} of these {frames}. With about {ENOUGH_RATED} of this genre, "
            "agreement with you stands here."
        )
    kappas = ["undefined" if each.kappa is None else f"{each.kappa:.2f}" for each in (before, after)]
    said = kappas[0] if kappas[0] == kappas[1] else f"{kappas[0]} as saved, {kappas[1]} as tuned"
    return f"Agreement with your own stars on {before.photos} frames (quadratic weighted kappa): {said}."
