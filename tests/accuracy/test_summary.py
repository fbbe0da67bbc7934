"""The README's lines: chosen from the table, put between their marks and nowhere else."""

from __future__ import annotations

import pytest

from tests.accuracy.figures.row import Row
from tests.accuracy.summary import BEGIN, END, REAL, RENDERED, in_place, real, rendered


def test_only_what_lies_between_the_marks_is_replaced() -> None:
    text = f"before\n{BEGIN}\nold\n{END}\nafter\n"
    assert in_place(text, ["| new |"]) == f"before\n{BEGIN}\n\n| new |\n\n{END}\nafter\n"


def test_a_text_without_marks_is_refused() -> None:
    with pytest.raises(ValueError):
        in_place("no marks", [])


def test_a_goal_that_was_missed_says_so_and_a_row_that_is_absent_is_a_dash() -> None:
    rows = [Row("pupils", 30, 1.0, "median 5 %", "median 2 %", False)]
    lines = {line[0]: line[1:] for line in rendered({"shoot": rows})}
    assert lines["pupils"] == ("median 5 % (missed)", "median 2 %")
    assert lines["eye line"] == ("–", "")
    assert len(lines) == len(RENDERED) + 1


def test_a_figure_of_few_photos_is_not_shown() -> None:
    rows = [Row("pupils", 4, 1.0, "median 1 %", "median 2 %", True)]
    assert dict.fromkeys(line[1] for line in rendered({"shoot": rows})) == {"shoot": None, "–": None}


def test_of_photographs_those_are_shown_that_nobody_looked_at() -> None:
    name = "skin that is not burnt, called burnt"
    seen, unseen = (
        Row(f"portraits, {part}: {name}", 50, None, figure, "≤ 1 %", True)
        for part, figure in (("looked at while choosing", "0 of 49"), ("not looked at", "0 of 50"))
    )
    lines = {line[0]: line[1:] for line in real([seen, unseen])}
    assert lines[REAL[name]] == ("0 of 50", "–", "≤ 1 %")
