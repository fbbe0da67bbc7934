"""The brief: what a job wants, what is there, what is missing, and what the nearest frame lacks."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from math import isclose
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.condition import truth
from eyeline.judging.verdict import Judgement
from eyeline.sitting.lacks import lacks
from eyeline.terms.measurement import Quantity
from eyeline.terms.verdict import Verdict

SOUND = 3
"""Stars from which a frame serves a line (common practice)."""

LENT = 4
"""Stars that a frame must reach on a line which it does not serve best to count there: to be merely sound
on it is no picture of it."""

SAME_RATIO = 0.01
"""Relative difference up to which two ratios of width to height are one format: pixels are whole."""

MOST_LACKS = 3
"""Shortcomings that are named for the nearest frame: what a photographer can mend in one go."""

GAZE = "gaze"
"""The measure of where the eyes look."""

Size = tuple[int, int]


@dataclass(frozen=True, slots=True)
class BriefLine:
    """One line of a brief: `wanted` different frames of `genre`, of the whole job or of each sitter (`per`),
    each to yield all `sizes`, (width, height) in pixels. `called`: the photographer's own words for it."""

    genre: str
    wanted: int = 1
    sizes: tuple[Size, ...] = ()
    called: str = ""
    per: Literal["job", "sitter"] = "job"

    @property
    def name(self) -> str:
        """What to call it in a report."""
        return self.called or self.genre


@dataclass(frozen=True, slots=True)
class Offered:
    """A judged frame. `series`: frames of one series are one picture; None where it stands alone.
    `width`, `height`: pixels, upright. `verdict`: on the line that it serves best, with its crops. `doubts`:
    those of its keywords that ask a person to look."""

    name: str
    series: str | None
    width: int
    height: int
    verdict: Verdict
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LineReport:
    """How far a line is: names of the frames that are `there`, best first, and, while fewer than wanted
    are, of the `nearest` with what it `lacks` in words. `doubts`: of frames that are there, the keywords that
    ask a person to look, by name; such a frame counts, but not before others, and not unsaid."""

    line: BriefLine
    there: tuple[str, ...]
    nearest: str | None = None
    lacks: tuple[str, ...] = ()
    doubts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def missing(self) -> int:
        """How many frames are still to be taken."""
        return max(0, self.line.wanted - len(self.there))


def brief_report(
    lines: Sequence[BriefLine],
    frames: Sequence[Offered],
    judgements: Sequence[Judgement],
    quantities: Mapping[str, Quantity],
) -> tuple[LineReport, ...]:
    """Compare what `frames` yield with what `lines` want.

    A sound frame counts on the line that it serves best, one of each series. A frame that is not needed
    there may fill another line on which it is as good (`LENT`). `judgements`: of all `frames`, one for
    each of `lines`, on that line's genre alone.
    """
    counted = [_own(line, frames) for line in lines]
    for place, line in enumerate(lines):
        if len(counted[place]) < line.wanted:
            needed = {row for rows, each in zip(counted, lines, strict=True) for row in rows[: each.wanted]}
            spare = [row for row in _on(line, judgements[place], frames) if row not in needed]
            counted[place] = _different([*counted[place], *spare], frames)[: line.wanted]
            counted = [
                rows if other == place else [row for row in rows if row not in counted[place]]
                for other, rows in enumerate(counted)
            ]
    taken = {row for rows in counted for row in rows}
    return tuple(
        _report(line, rows, frames, judgement, taken, quantities)
        for line, rows, judgement in zip(lines, counted, judgements, strict=True)
    )


def too_small(frame: Offered, sizes: Collection[Size]) -> str | None:
    """Why `frame` cannot yield all `sizes`, in words; None where it can."""
    for width, height in sizes:
        yields = _yields(frame, width / height)
        if yields is None:
            return f"no good crop for {width} × {height} px"
        if yields[0] < width:
            return f"yields {yields[0]} × {yields[1]} px, wants {width} × {height}"
    return None


def _yields(frame: Offered, ratio: float) -> Size | None:
    """The largest picture of `ratio` that the frame gives: the suggested crop, or the frame itself."""
    if isclose(frame.width / frame.height, ratio, rel_tol=SAME_RATIO):
        return frame.width, frame.height
    for crop in frame.verdict.crops:
        if isclose(crop.width / crop.height, ratio, rel_tol=SAME_RATIO):
            return crop.width, crop.height
    if any(isclose(_ratio(none.format_name), ratio, rel_tol=SAME_RATIO) for none in frame.verdict.no_crops):
        return None
    # Nobody looked for a crop of this ratio: as much as the frame holds of it.
    width = min(frame.width, round(frame.height * ratio))
    return width, round(width / ratio)


def _ratio(format_name: str) -> float:
    width, _, height = format_name.partition(":")
    try:
        return float(width) / float(height)
    except (ValueError, ZeroDivisionError):
        return 0.0


def _own(line: BriefLine, frames: Sequence[Offered]) -> list[int]:
    """Sound frames that serve this line best, one of each series, best first."""
    serving = [
        row
        for row, frame in enumerate(frames)
        if frame.verdict.genre == line.genre
        and (frame.verdict.stars or 0) >= SOUND
        and not too_small(frame, line.sizes)
    ]
    serving.sort(
        key=lambda row: (
            bool(frames[row].doubts),
            -(frames[row].verdict.stars or 0),
            -frames[row].verdict.score,
            row,
        )
    )
    return _different(serving, frames)


def _on(line: BriefLine, judgement: Judgement, frames: Sequence[Offered]) -> list[int]:
    """Frames that are as good on this line as if they had been taken for it, best first."""
    good = [
        row
        for row, frame in enumerate(frames)
        if judgement.stars[row] >= LENT and not too_small(frame, line.sizes)
    ]
    return sorted(good, key=lambda row: (bool(frames[row].doubts), -judgement.scores[row, 0], row))


def _different(rows: Sequence[int], frames: Sequence[Offered]) -> list[int]:
    """The first of each series, and all that stand alone."""
    found: list[int] = []
    seen: set[str] = set()
    for row in rows:
        series = frames[row].series
        if series is None or series not in seen:
            found.append(row)
        if series is not None:
            seen.add(series)
    return found


def _report(
    line: BriefLine,
    rows: Sequence[int],
    frames: Sequence[Offered],
    judgement: Judgement,
    taken: Collection[int],
    quantities: Mapping[str, Quantity],
) -> LineReport:
    there = tuple(frames[row].name for row in rows)
    doubts = {frames[row].name: frames[row].doubts for row in rows if frames[row].doubts}
    if len(rows) >= line.wanted:
        return LineReport(line, there, doubts=doubts)
    series = {frames[row].series for row in rows} - {None}
    others = [
        row
        for row, frame in enumerate(frames)
        if row not in rows and frame.series not in series and judgement.stars[row] > 0
    ]
    if not others:
        return LineReport(line, there, doubts=doubts)
    unmet = _unmet(judgement)
    nearest = min(others, key=lambda row: _distance(judgement, row, int(unmet[row]), row in taken))
    frame = frames[nearest]
    found = lacks(judgement.reasons(nearest), judgement.rulebooks[0], quantities)
    if small := too_small(frame, line.sizes):
        found = [small, *found]
    elif judgement.stars[nearest] >= LENT and nearest in taken:
        found = [f"it would do, but is needed as {frame.verdict.genre}"]
    elif not found:
        found = [f"it serves {frame.verdict.genre} better"]
    return LineReport(line, there, frame.name, tuple(found[:MOST_LACKS]), doubts)


def _unmet(judgement: Judgement) -> NDArray[np.intp]:
    """How many of the line's requirements each frame does not meet."""
    (rulebook,) = judgement.rulebooks
    unmet = np.zeros(judgement.columns.count, np.intp)
    for each in rulebook.requirements:
        unmet += ~truth(each.when, judgement.columns).yes
    return unmet


def _distance(judgement: Judgement, row: int, unmet: int, is_taken: bool) -> tuple[float, ...]:
    """How far a frame is from a line, least first: what the line requires before all (format, look), then
    stars and score: another pose is nearer than another picture."""
    return (
        unmet + _looks_elsewhere(judgement, row),
        -float(judgement.stars[row]),
        -float(judgement.scores[row, 0]),
        float(is_taken),
        row,
    )


def _looks_elsewhere(judgement: Judgement, row: int) -> float:
    """How much the eyes look where the line does not want them: 0 as wanted, 1 as little as can be."""
    for criterion in judgement.rulebooks[0].criteria:
        for ideal in criterion.ideals:
            if ideal.measure == GAZE and ideal.words:
                value = judgement.columns.value(GAZE, row)
                return 1.0 - dict(ideal.words).get(str(value), ideal.otherwise)
    return 0.0
