"""Lines of a brief as staves: filled places with their frames, empty ones drawn, words below."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from eyeline.judging.cures import cures
from eyeline.judging.rulebook import Rulebook
from eyeline.pages.outline import Outline, outline
from eyeline.pages.review.spread import Laid, Part
from eyeline.pages.stave import Hung, hung, stave
from eyeline.sitting.brief import LineReport

LARGEST_UNIT, LEAST_UNIT = 6.33, 4.4
"""Pixels a unit of the stave: a long side of 228, or of 158 where there are more places."""

ROOM, GAP, COLUMN_GAP = 1264.0, 16.0, 14.0

MOST_ON_A_STAVE = 6
"""Places up to which lines stand beside each other on one stave; with more, one below another."""

MOST_OTHERS = 3
"""Frames that are named which would do as well."""


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
class Found:
    """Where what a brief names is found: frames by name, rulebooks by genre, parts by folder."""

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


def hung_lines(reports: Sequence[LineReport], found: Found, unit: float | None) -> Lines:
    """`reports` on one stave; `unit`: pixels a unit, None for as many as there is room for."""
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


def _says(report: LineReport, found: Found) -> str:
    """Below an open line what the nearest frame lacks; below a filled one which others would do."""
    if not report.missing:
        others = [
            laid.number for name in report.there[report.line.wanted :] if (laid := found.by_name.get(name))
        ]
        if not others:
            return ""
        more = [f"{len(others) - MOST_OTHERS} more"] if len(others) > MOST_OTHERS else []
        return f"{listed([*others[:MOST_OTHERS], *more])} too."
    nearest = found.by_name.get(report.nearest or "")
    if nearest is None:
        return "Nothing comes near yet."
    lacks = "; ".join(report.lacks[:2])
    return f"Nearest {nearest.number}: {lacks}."


def _shortly(report: LineReport, found: Found) -> str:
    """The same in a few words, for a row."""
    nearest = found.by_name.get(report.nearest or "")
    if not report.missing:
        return ""
    if nearest is None:
        return "nothing comes near"
    todo = found.cures(nearest, report.line.genre)
    return f"{nearest.number}: {todo[0] if todo else next(iter(report.lacks), 'it scores too low')}"


def listed(words: Sequence[str]) -> str:
    """Words as a list in a sentence."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
