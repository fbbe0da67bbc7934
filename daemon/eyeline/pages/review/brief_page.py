"""The view of the brief: what is there, what is missing, and in one sentence what to do now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from eyeline.judging.rulebook import Rulebook
from eyeline.pages.review.aside_page import Aside
from eyeline.pages.review.brief_places import Found, Lines, hung_lines
from eyeline.pages.review.brief_sentence import fault_now, welcome, what_next
from eyeline.pages.review.spread import Laid, Spread
from eyeline.run.brief import FolderBrief, SitterBrief
from eyeline.sitting.brief import LineReport

SMALL_UNIT = 1.7
"""Pixels a unit in the rows of the sitters before."""

FOLDED_FROM = 12
"""From so many sitters on, those who are complete are told in one line."""


@dataclass(frozen=True, slots=True)
class Row:
    """A sitter before: what is there and what is missing, small."""

    sitter: SitterBrief
    lines: Lines

    @property
    def is_complete(self) -> bool:
        """Whether nothing is to be taken any more."""
        return not any(each.is_open for each in self.lines.columns)


@dataclass(frozen=True, slots=True)
class BriefPage:
    """All that the view shows. `sentence`, `then`: what to do now, and after it; `now`: the frame that the
    sentence is about, where its fault can be cured at once. `chair`: who sits, None without sitters."""

    sentence: str
    then: str
    now: Laid | None
    chair: SitterBrief | None
    lines: Lines
    job: Lines | None
    rows: tuple[Row, ...]
    waits: tuple[str, ...]
    complete: tuple[str, ...]
    asides: tuple[Aside, ...]
    latest: Laid | None
    frames: int
    is_usual: bool


def brief_page(
    spread: Spread,
    brief: FolderBrief,
    by_name: Mapping[str, Laid],
    rulebooks: Mapping[str, Rulebook],
    asides: tuple[Aside, ...],
    chair: tuple[str, str] | None,
    now: datetime,
) -> BriefPage:
    """The page of `brief`. `by_name`: frames by the names that it gives them; `chair`: label and words of who
    sits."""
    latest = spread.latest
    sitting = _sitting(brief, chair)
    sat = [each for each in brief.sitters if each.frames and each is not sitting]
    waits = [each for each in brief.sitters if not each.frames and each is not sitting]
    reports = sitting.lines if sitting is not None else brief.lines
    found = Found(by_name, rulebooks, {part.folder: part for part in spread.parts})
    lines = hung_lines(reports, found, None)
    rows = [Row(each, hung_lines(each.lines, found, SMALL_UNIT)) for each in sat]
    fold = len(brief.sitters) >= FOLDED_FROM
    complete = tuple(row.sitter.sitter for row in rows if row.is_complete) if fold else ()
    fault = fault_now(spread, latest, now) if sitting is None or sitting.frames else None
    sentence, then = fault or welcome(sitting, sat) or what_next(lines, sitting, latest, found)
    return BriefPage(
        sentence,
        "" if fault else then,
        latest if fault else None,
        sitting,
        lines,
        hung_lines(brief.lines, found, None) if sitting is not None and brief.lines else None,
        tuple(row for row in rows if not (fold and row.is_complete)),
        tuple(each.called for each in waits),
        complete,
        asides,
        latest,
        len(spread.frames),
        brief.source is None,
    )


def _sitting(brief: FolderBrief, chair: tuple[str, str] | None) -> SitterBrief | None:
    """Who sits: one who has just sat down has no frame yet, and lacks them all."""
    if not brief.sitters:
        return None
    if chair is None:
        return max(brief.sitters, key=lambda each: each.since or "")
    label, called = chair
    found = next((each for each in brief.sitters if each.sitter == label), None)
    lines = tuple(LineReport(each.line, ()) for each in brief.sitters[0].lines)
    return found or SitterBrief(label, called, None, 0, 0, lines)
