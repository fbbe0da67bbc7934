"""The few lines of the accuracy table that the README shows, put between two marks in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from tests.accuracy.figures.row import Row

BEGIN, END = "<!-- accuracy: python -m tests.accuracy --full --readme README.md -->", "<!-- /accuracy -->"

LINES = {
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
"""Rows of the table that are shown, in words for a photographer."""


def summary(sets: Mapping[str, Iterable[Row]]) -> list[tuple[str, ...]]:
    """Headings and lines: the figure in each set by its name, and the goal."""
    by_name = {title: {row.name: row for row in rows} for title, rows in sets.items()}
    lines: list[tuple[str, ...]] = [("", *by_name, "goal")]
    for name, words in LINES.items():
        found = [rows.get(name) for rows in by_name.values()]
        goal = next((row.goal for row in found if row is not None), "")
        lines.append((words, *("–" if row is None else _figure(row) for row in found), goal))
    return lines


def in_place(text: str, table: Sequence[str]) -> str:
    """`text` with `table` between the marks. Raises ValueError without them."""
    head, rest = text.split(BEGIN)
    _, tail = rest.split(END)
    return "\n".join((head + BEGIN, "", *table, "", END + tail))


def _figure(row: Row) -> str:
    missed = " (missed)" if row.reached is False else ""
    return f"{row.figure}{missed}"
