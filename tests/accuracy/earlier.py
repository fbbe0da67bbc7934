"""Figures of an earlier report beside those of this one: `python -m tests.accuracy --before FILE`."""

from __future__ import annotations

from collections.abc import Sequence

from tests.accuracy.figures.row import Row

Earlier = dict[str, dict[str, str]]
"""Figures by the heading of their section and the name of their row."""

FIGURE = 3
"""Column of the figure in a table of rows."""


def figures_of(report: str) -> Earlier:
    """The figures in a `report` as `--write` writes it; tables of other things are left out."""
    found: Earlier = {}
    section, in_rows = "", False
    for line in report.splitlines():
        if line.startswith("## "):
            section = line.removeprefix("## ")
        if not line.startswith("|"):
            in_rows = False
            continue
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if cells[0] == "measure":
            in_rows = len(cells) > FIGURE and cells[FIGURE] == "figure"
        elif in_rows and len(cells) > FIGURE and cells[0] != "---":
            found.setdefault(section, {})[cells[0]] = cells[FIGURE]
    return found


def with_before(rows: Sequence[Row], earlier: Earlier, section: str) -> list[tuple[str, ...]]:
    """Cells of `rows` with the `earlier` figure of each after its own; empty where there was none."""
    before = earlier.get(section, {})
    return [
        (*cells[: FIGURE + 1], before.get(row.name, ""), *cells[FIGURE + 1 :])
        for row in rows
        for cells in [row.cells()]
    ]
