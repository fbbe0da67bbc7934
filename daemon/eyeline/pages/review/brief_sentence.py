"""Which sentence stands over the brief: what to do now, to be read at arm's length."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from eyeline.judging.cures import cures
from eyeline.pages.review.brief_places import Column, Empty, Found, Lines, listed
from eyeline.pages.review.spread import Laid, Spread
from eyeline.run.brief import SitterBrief

JUST_NOW = timedelta(minutes=10)
"""A fault of a frame that was measured longer ago is no news: the sitter has gone."""

LONGEST_CURES = 60
"""Letters of what is to be done that two lines at arm's length hold."""


def fault_now(spread: Spread, latest: Laid | None, now: datetime) -> tuple[str, str] | None:
    """What to do about a fault of the frame that came last, where something can be done at once."""
    if latest is None or now - latest.measured_at > JUST_NOW:
        return None
    part, _ = spread.find(latest.key) or (None, None)
    if part is None or latest.stars is None or latest.stars > 2:
        return None
    verdict = part.verdict(latest)
    fault = next((each for each in verdict.reasons if each.stars_at_most is not None), None)
    cure = cures([fault], part.rulebook(latest), 1) if fault is not None else []
    if fault is None or not cure:
        return None
    before = _before(spread, latest)
    said = _sentence(cure[0].partition(":")[0])
    if before is not None and any(each.name == fault.name for each in part.verdict(before).reasons):
        return f"{said}: {before.number} and {latest.number} alike. {_sentence(fault.sentence)}.", ""
    return f"{said}: {fault.sentence}.", ""


def welcome(sitting: SitterBrief | None, sat: Sequence[SitterBrief]) -> tuple[str, str] | None:
    """The sitter changes: what the one before still lacks."""
    if sitting is None or sitting.frames:
        return None
    before = max(sat, key=lambda each: each.since or "", default=None)
    missing = sum(each.missing for each in before.lines) if before is not None else 0
    if before is None or not missing:
        return f"{_called(sitting)}, please.", ""
    lacks = [each.line.name for each in before.lines if each.missing]
    return f"{_called(sitting)}, please.", f"{_called(before)} still lacks {listed(lacks)}."


def _called(sitting: SitterBrief) -> str:
    return f"Number {sitting.called}" if sitting.called[:1].isdecimal() else sitting.called


def _before(spread: Spread, latest: Laid) -> Laid | None:
    frames = [each for part in spread.parts if latest in part.laid for each in part.laid]
    place = frames.index(latest)
    return frames[place - 1] if place else None


def what_next(
    lines: Lines, sitting: SitterBrief | None, latest: Laid | None, found: Found
) -> tuple[str, str]:
    """The open line that changes least from the last frame, then the others."""
    who = _called(sitting) if sitting is not None else ""
    still = [each for each in lines.columns if each.is_open]
    if not lines.columns:
        return "Waiting for the first frame.", ""
    if not still:
        return (f"{who} is complete." if who else "All that the brief wants is there."), ""
    wide = latest is not None and latest.frame.width > latest.frame.height
    still.sort(key=lambda each: (_is_wide(each) != wide,))
    first = still[0]
    todo = _todo(first, latest, found)
    rest = [f"{each.report.missing} {each.report.line.name}" for each in still[1:]]
    then = f"Then {listed(rest)}." if rest else ""
    return f"{who}: {todo}." if who else f"{_sentence(todo)}.", then


def _is_wide(column: Column) -> bool:
    return any(isinstance(each, Empty) and each.outline.ratio > 1 for each in column.places)


def _todo(column: Column, latest: Laid | None, found: Found) -> str:
    """As imperatives: what is to change from the last frame, else from the nearest."""
    genre = column.report.line.genre
    for laid in (column.nearest, latest):
        todo = found.cures(laid, genre) if laid is not None else []
        if todo:
            both = ", ".join(todo[:2])
            return both if len(both) <= LONGEST_CURES else todo[0]
    more = "one more " if column.report.there else ""
    return f"{more}{column.report.line.name}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
