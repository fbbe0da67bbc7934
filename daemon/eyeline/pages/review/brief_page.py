"""The view of the brief: what is there, what is missing, and in one sentence what to do now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from eyeline.judging.cures import cures
from eyeline.judging.rulebook import Rulebook
from eyeline.pages.outline import Outline, outline
from eyeline.pages.review.aside_page import Aside
from eyeline.pages.review.spread import Laid, Part, Spread
from eyeline.pages.stave import Hung, hung, stave
from eyeline.run.brief import FolderBrief, SitterBrief
from eyeline.sitting.brief import LineReport

LARGEST_UNIT, LEAST_UNIT = 6.33, 4.4
"""Pixels a unit of the stave: a long side of 228, or of 158 where there are more places."""

ROOM, GAP, COLUMN_GAP = 1264.0, 16.0, 14.0
MOST_ON_A_STAVE = 6
"""Places up to which lines stand beside each other on one stave; with more, one below another."""

SMALL_UNIT = 1.7
"""Pixels a unit in the rows of the sitters before."""

FOLDED_FROM = 12
"""From so many sitters on, those who are complete are told in one line."""

MOST_OTHERS = 3
"""Frames that are named which would do as well."""

JUST_NOW = timedelta(minutes=10)
"""A fault of a frame that was measured longer ago is no news: the sitter has gone."""

LONGEST_CURES = 60
"""Letters of what is to be done that two lines at arm's length hold."""


@dataclass(frozen=True, slots=True)
class Filled:
    """A place with its frame. `top`: how far below the stave's top it hangs."""

    laid: Laid
    width: float
    height: float
    top: float


@dataclass(frozen=True, slots=True)
class Empty:
    """A place without one."""

    outline: Outline
    width: float
    height: float
    top: float


@dataclass(frozen=True, slots=True)
class Column:
    """A line of the brief: its places, and below them what is to be said."""

    report: LineReport
    places: tuple[Filled | Empty, ...]
    nearest: Laid | None
    says: str
    shortly: str
    width: float

    @property
    def is_open(self) -> bool:
        """Whether frames are still to be taken."""
        return self.report.missing > 0


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines of the brief on one stave: `line`, where the eyes are, `height` of it all, pixels."""

    columns: tuple[Column, ...]
    line: float
    height: float
    stacked: bool


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
    found = _Found(by_name, rulebooks, {part.folder: part for part in spread.parts})
    lines = _lines(reports, found, None)
    rows = [Row(each, _lines(each.lines, found, SMALL_UNIT)) for each in brief.sitters if each is not sitting]
    fold = len(brief.sitters) >= FOLDED_FROM
    complete = tuple(row.sitter.sitter for row in rows if row.is_complete) if fold else ()
    fault = _fault(spread, latest, now) if sitting is None or sitting.frames else None
    sentence, then = fault or _welcome(sitting, sat) or _what_next(lines, sitting, latest, found)
    return BriefPage(
        sentence,
        "" if fault else then,
        latest if fault else None,
        sitting,
        lines,
        _lines(brief.lines, found, None) if sitting is not None and brief.lines else None,
        tuple(row for row in rows if not (fold and row.is_complete)),
        tuple(each.called for each in waits),
        complete,
        asides,
        latest,
        len(spread.frames),
        brief.source is None,
    )


@dataclass(frozen=True, slots=True)
class _Found:
    by_name: Mapping[str, Laid]
    rulebooks: Mapping[str, Rulebook]
    parts: Mapping[object, Part]

    def cures(self, laid: Laid, genre: str) -> list[str]:
        """What would make `laid` one of `genre`, as imperatives."""
        part, rulebook = self.parts.get(laid.path.parent), self.rulebooks.get(genre)
        if part is None or rulebook is None or genre not in {each.name for each in part.brief}:
            return []
        found = cures(part.grounds(genre).reasons(laid.row), rulebook)
        return list(dict.fromkeys(each.partition(":")[0] for each in found))


def _lines(reports: Sequence[LineReport], found: _Found, unit: float | None) -> Lines:
    hangs: list[list[tuple[Laid | Outline, Hung]]] = []
    for report in reports:
        places: list[tuple[Laid | Outline, Hung]] = []
        for name in report.there[: report.line.wanted]:
            laid = found.by_name.get(name)
            if laid is not None:
                places.append((laid, hung(laid.frame.width, laid.frame.height, laid.points)))
        drawn = outline(found.rulebooks[report.line.genre])
        size = hung(round(1000 * drawn.ratio), 1000, None)
        places += [(drawn, Hung(size.width, size.height, drawn.eye_y * size.height))] * report.missing
        hangs.append(places)
    everything = [each for places in hangs for _, each in places]
    if not everything:
        return Lines((), 0.0, 0.0, False)
    whole = stave(everything)
    stacked = len(everything) > MOST_ON_A_STAVE
    gaps = GAP * len(everything) + COLUMN_GAP * len(reports)
    fitting = (ROOM - gaps) / sum(each.width for each in everything)
    px = unit or max(LEAST_UNIT, min(LARGEST_UNIT, LEAST_UNIT if stacked else fitting))
    return Lines(
        tuple(
            Column(
                report,
                tuple(_place(what, each, whole.top(each), px) for what, each in places),
                found.by_name.get(report.nearest or ""),
                _says(report, found),
                _shortly(report, found),
                round(sum(each.width for _, each in places) * px + GAP * (len(places) - 1), 1),
            )
            for report, places in zip(reports, hangs, strict=True)
        ),
        round(whole.above * px, 1),
        round(whole.height * px, 1),
        stacked,
    )


def _place(what: Laid | Outline, size: Hung, top: float, px: float) -> Filled | Empty:
    measures = round(size.width * px, 1), round(size.height * px, 1), round(top * px, 1)
    return Empty(what, *measures) if isinstance(what, Outline) else Filled(what, *measures)


def _says(report: LineReport, found: _Found) -> str:
    """Below an open line what the nearest frame lacks; below a filled one which others would do."""
    if not report.missing:
        others = [
            laid.number for name in report.there[report.line.wanted :] if (laid := found.by_name.get(name))
        ]
        if not others:
            return ""
        more = [f"{len(others) - MOST_OTHERS} more"] if len(others) > MOST_OTHERS else []
        return f"{_listed([*others[:MOST_OTHERS], *more])} too."
    nearest = found.by_name.get(report.nearest or "")
    if nearest is None:
        return "Nothing comes near yet."
    lacks = "; ".join(report.lacks[:2])
    return f"Nearest {nearest.number}: {lacks}."


def _shortly(report: LineReport, found: _Found) -> str:
    """The same in a few words, for a row."""
    nearest = found.by_name.get(report.nearest or "")
    if not report.missing:
        return ""
    if nearest is None:
        return "nothing comes near"
    todo = found.cures(nearest, report.line.genre)
    return f"{nearest.number}: {todo[0] if todo else next(iter(report.lacks), 'it scores too low')}"


def _fault(spread: Spread, latest: Laid | None, now: datetime) -> tuple[str, str] | None:
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


def _welcome(sitting: SitterBrief | None, sat: Sequence[SitterBrief]) -> tuple[str, str] | None:
    """The sitter changes: what the one before still lacks."""
    if sitting is None or sitting.frames:
        return None
    before = max(sat, key=lambda each: each.since or "", default=None)
    missing = sum(each.missing for each in before.lines) if before is not None else 0
    if before is None or not missing:
        return f"{_called(sitting)}, please.", ""
    lacks = [each.line.name for each in before.lines if each.missing]
    return f"{_called(sitting)}, please.", f"{_called(before)} still lacks {_listed(lacks)}."


def _called(sitting: SitterBrief) -> str:
    return f"Number {sitting.called}" if sitting.called[:1].isdecimal() else sitting.called


def _before(spread: Spread, latest: Laid) -> Laid | None:
    frames = [each for part in spread.parts if latest in part.laid for each in part.laid]
    place = frames.index(latest)
    return frames[place - 1] if place else None


def _what_next(
    lines: Lines, sitting: SitterBrief | None, latest: Laid | None, found: _Found
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
    then = f"Then {_listed(rest)}." if rest else ""
    return f"{who}: {todo}." if who else f"{_sentence(todo)}.", then


def _is_wide(column: Column) -> bool:
    return any(isinstance(each, Empty) and each.outline.ratio > 1 for each in column.places)


def _todo(column: Column, latest: Laid | None, found: _Found) -> str:
    """As imperatives: what is to change from the last frame, else from the nearest."""
    genre = column.report.line.genre
    for laid in (column.nearest, latest):
        todo = found.cures(laid, genre) if laid is not None else []
        if todo:
            both = ", ".join(todo[:2])
            return both if len(both) <= LONGEST_CURES else todo[0]
    more = "one more " if column.report.there else ""
    return f"{more}{column.report.line.name}"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
