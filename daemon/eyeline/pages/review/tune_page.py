"""The view on which a genre is tuned: its ranges over all frames, every score before and after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.rulebook import Rulebook
from eyeline.pages.eye_windows import WindowRow, window_row
from eyeline.pages.review.frame_words import NUMBERS
from eyeline.pages.review.spread import Spread
from eyeline.pages.review.tune_rows import Row, rows_of
from eyeline.pages.review.tuning import Trial, Tried

SLOPE_WIDTH, SLOPE_HEIGHT = 212.0, 540.0
LOWEST = 0.6
"""Score at which the drawing begins, unless a frame lies lower: below, stars are few anyway."""

MOST_PAIRS = 8
"""Frames that are shown, of those whose stars change."""

PAIR_SIDE = 220.0
ENOUGH_RATED = 20
"""Own ratings from which agreement says anything."""


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
    stave: WindowRow
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
    stave = window_row(
        [(each.laid.frame, each.laid.points) for each in pairs],
        [PAIR_SIDE / max(each.laid.frame.width, each.laid.frame.height) for each in pairs],
        [None] * len(pairs),
    )
    return TunePage(
        saved.name,
        genres,
        frames,
        tuple(rows_of(spread, saved, now)),
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
