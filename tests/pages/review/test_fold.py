"""A day of many sitters: those who are complete are told in one line, from twelve on."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from eyeline.pages.review import render
from eyeline.pages.review.brief_page import FOLDED_FROM, BriefPage, brief_page
from eyeline.pages.review.spread import Spread
from eyeline.run.brief import FolderBrief, SitterBrief
from eyeline.sitting.brief import BriefLine, LineReport
from tests.judging.shipped import rules

LINE = BriefLine("corporate headshot", per="sitter")
RULES = rules()


def sitter(number: int, is_complete: bool) -> SitterBrief:
    line = LineReport(LINE, (f"{number}.jpg",) if is_complete else ())
    return SitterBrief(str(number), str(number), f"2026-09-14T10:{number:02}:00", 3, 0, (line,))


def page(count: int) -> BriefPage:
    """Sitters 1 to `count`, every third of them not complete; the last sits in the chair."""
    sitters = tuple(sitter(number, number % 3 != 0) for number in range(1, count + 1))
    brief = FolderBrief(3 * count, None, (), sitters)
    chair = (str(count), str(count))
    return brief_page(
        Spread(1, ()), brief, {}, {LINE.genre: RULES.genre(LINE.genre)}, (), chair, datetime.now(UTC)
    )


def test_up_to_eleven_sitters_have_a_row_each() -> None:
    shown = page(FOLDED_FROM - 1)
    assert shown.complete == ()
    assert [row.sitter.sitter for row in shown.rows] == [str(each) for each in range(1, FOLDED_FROM - 1)]


@pytest.mark.parametrize("count", [FOLDED_FROM, 42])
def test_from_twelve_on_the_complete_are_one_line_and_the_others_rows(count: int) -> None:
    shown = page(count)
    done = [str(each) for each in range(1, count) if each % 3 != 0]
    assert shown.complete == tuple(done)
    assert [row.sitter.sitter for row in shown.rows] == [str(each) for each in range(3, count, 3)]
    text = render.page("brief.html", view="brief", page=shown, stations="").body.decode()
    assert f'<p class="row f">{", ".join(done)} complete</p>' in text
