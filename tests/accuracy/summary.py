"""The few lines of the accuracy tables that the README shows, put between two marks in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from tests.accuracy.figures.row import Row

BEGIN, END = "<!-- accuracy: python -m tests.accuracy --full --readme README.md -->", "<!-- /accuracy -->"

RENDERED = {
    "found, head ≥ 8 %, yaw to 30°": "sitter found, head at least 8 % of the frame",
    "pupils": "pupils",
    "eye_line": "eye line",
    "headroom": "headroom",
    "gaze word": "where the eyes look",
    "closed eyes": "closed eyes",
    "eye_blur_px": "blur at the eye",
    "copy_space word, by the contract": "side free for text",
    "sound frames given 1 or 2 stars": "sound frames given 1 or 2 stars",
    "duds given 4 or 5 stars": "duds given 4 or 5 stars",
}
"""Rows of the tables of rendered sets that are shown, in words for a photographer."""

REAL = {
    "into the lens, `camera`": "looks into the lens: said so",
    "into the lens, `unsure`": "the same: in doubt",
    "open eyes called closed": "open eyes called closed or half closed",
    "skin that is not burnt, called burnt": "skin that is not burnt, called burnt",
    "a known blur adds in squares, within 20 % or 0.3 px": "a known blur at the eye is measured",
    "sound, given 1 or 2 stars": "sound portraits given 1 or 2 stars",
    "the same for another cause than tightness at the sides": "the same for another cause than tightness",
    "the same at -2.5 stops scores lower": "the same frame 2.5 stops darker scores lower",
}
"""The same of the photographs."""

REAL_SETS = {"portraits": "portraits", "studio": "studio pictures"}
"""Photographs by the name of their set; shown is the part that nobody looked at while choosing."""

LEAST_SHOWN = 10
"""Photos that a figure needs at the least to be shown: a share of fewer says next to nothing."""


def rendered(sets: Mapping[str, Iterable[Row]]) -> list[tuple[str, ...]]:
    """Headings and lines: the figure in each set by its name, and the goal."""
    return _lines(RENDERED, {title: {row.name: row for row in rows} for title, rows in sets.items()})


def real(rows: Iterable[Row]) -> list[tuple[str, ...]]:
    """Headings and lines of the photographs not looked at, one column a set."""
    by_name = {row.name: row for row in rows}
    columns = {
        title: {
            name: by_name[full] for name in REAL if (full := f"{set_name}, not looked at: {name}") in by_name
        }
        for set_name, title in REAL_SETS.items()
    }
    return _lines(REAL, columns)


def in_place(text: str, *tables: Sequence[str]) -> str:
    """`text` with `tables` between the marks. Raises ValueError without them."""
    head, rest = text.split(BEGIN)
    _, tail = rest.split(END)
    between = [line for table in tables for line in ("", *table)]
    return "\n".join((head + BEGIN, *between, "", END + tail))


def _lines(words: Mapping[str, str], columns: Mapping[str, Mapping[str, Row]]) -> list[tuple[str, ...]]:
    lines: list[tuple[str, ...]] = [("", *columns, "goal")]
    for name, said in words.items():
        found = [rows.get(name) for rows in columns.values()]
        goal = next((row.goal for row in found if row is not None), "")
        lines.append((said, *map(_figure, found), goal))
    return lines


def _figure(row: Row | None) -> str:
    if row is None or row.photos < LEAST_SHOWN:
        return "–"
    missed = " (missed)" if row.reached is False else ""
    return f"{row.figure}{missed}"
