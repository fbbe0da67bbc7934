"""Rows of frames on printed pages. Lengths are in millimetres from the upper left corner of the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from eyeline.pages.stave import Hung, rows, stave

MARGIN = 12.0
"""What desktop printers leave white, and fingers hold (common practice)."""

FOOT = 6.0
"""Below the last row, for the number of the page."""

LABEL_WIDTH = 13.0
"""For the number of the sitter, left of the frames."""

GAP_UNITS = 4.5
"""Between two frames, in units of the stave: the captions beneath have this much more room."""

ROW_GAP = 3.0
SITTER_GAP = 2.5
"""Between rows, and more on both sides of the rule between sitters."""

BRACKET = 1.6
"""Height that a bracket over a series takes."""

CAPTION_GAP = 1.2


@dataclass(frozen=True, slots=True)
class Item:
    """A frame to place: how it hangs, how high its caption is, whether a bracket begins and ends with it."""

    hung: Hung
    caption: float
    begins: bool = True
    ends: bool = True


@dataclass(frozen=True, slots=True)
class PlacedFrame:
    """Frame number `index` of its sitter. `left`, `top`, `width`, `height` of the picture; `caption_top`."""

    index: int
    left: float
    top: float
    width: float
    height: float
    caption_top: float


@dataclass(frozen=True, slots=True)
class Bracket:
    """A bracket over frames of one series; open where the series goes on in another row."""

    left: float
    right: float
    begins: bool
    ends: bool


@dataclass(frozen=True, slots=True)
class PlacedRow:
    """A row of sitter number `sitter`. `line`: where the eyes are. `begins`: it is the sitter's first row;
    `shows_label`: that, or the first of a page."""

    sitter: int
    top: float
    line: float
    bottom: float
    begins: bool
    shows_label: bool
    frames: tuple[PlacedFrame, ...]
    brackets: tuple[Bracket, ...]


def paged(
    sitters: Sequence[Sequence[Item]], width: float, height: float, unit: float, first_top: float
) -> tuple[tuple[PlacedRow, ...], ...]:
    """Place the frames of `sitters` on pages of that size; on the first, rows begin at `first_top`.

    `unit`: millimetres of a unit of the stave. No row is parted; one that is higher than a page stands alone.
    """
    left = MARGIN + LABEL_WIDTH
    most = width - MARGIN - left
    bottom = height - MARGIN - FOOT
    pages: list[list[PlacedRow]] = [[]]
    top = first_top
    for number, items in enumerate(sitters):
        widths = [item.hung.width * unit for item in items]
        for places in rows(widths, GAP_UNITS * unit, most):
            begins = places.start == 0
            in_row = [items[place] for place in places]
            needed = _height(in_row, unit)
            gap = SITTER_GAP if begins else ROW_GAP
            is_full = top + (gap if pages[-1] else 0.0) + needed > bottom
            if is_full and (pages[-1] or top > MARGIN):
                pages.append([])
                top = MARGIN
            begins_page = not pages[-1]
            row_top = top + (gap if not begins_page or begins else 0.0)
            row = _placed(number, places, in_row, left, row_top, unit, begins)
            pages[-1].append(replace(row, shows_label=begins or begins_page))
            top = row_top + needed + (SITTER_GAP if places.stop == len(items) else 0.0)
    return tuple(map(tuple, pages))


def _height(items: Sequence[Item], unit: float) -> float:
    return (
        BRACKET
        + stave([item.hung for item in items]).height * unit
        + CAPTION_GAP
        + max(i.caption for i in items)
    )


def _placed(
    sitter: int,
    places: range,
    items: Sequence[Item],
    left: float,
    top: float,
    unit: float,
    begins: bool,
) -> PlacedRow:
    line = stave([item.hung for item in items])
    hangs_from = top + BRACKET
    caption_top = hangs_from + line.height * unit + CAPTION_GAP
    frames: list[PlacedFrame] = []
    for place, item in zip(places, items, strict=True):
        width, height = item.hung.width * unit, item.hung.height * unit
        frames.append(
            PlacedFrame(place, left, hangs_from + line.top(item.hung) * unit, width, height, caption_top)
        )
        left += width + GAP_UNITS * unit
    return PlacedRow(
        sitter,
        top,
        hangs_from + line.above * unit,
        top + _height(items, unit),
        begins,
        begins,
        tuple(frames),
        tuple(_brackets(items, frames)),
    )


def _brackets(items: Sequence[Item], frames: Sequence[PlacedFrame]) -> list[Bracket]:
    found: list[Bracket] = []
    start = 0
    for place, item in enumerate(items):
        last = place == len(items) - 1
        if item.ends or last:
            if not (items[start].begins and item.ends and start == place):
                right = frames[place].left + frames[place].width
                found.append(Bracket(frames[start].left, right, items[start].begins, item.ends))
            start = place + 1
    return found
