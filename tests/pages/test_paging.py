"""Laws of the printed pages: every frame once, nothing overlaps, nothing is cut, numbers are repeated."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.pages.paging import FOOT, MARGIN, Item, PlacedFrame, paged
from eyeline.pages.sheet_look import PAPER_MM, SCALES
from eyeline.pages.stave import DIAGONAL, Hung, hung
from tests.pages.test_stave import points

hangs = st.builds(hung, st.integers(2000, 9000), st.integers(2000, 9000), st.floats(0, 1).map(points))
items = st.builds(Item, hangs, st.floats(3, 25), st.booleans(), st.booleans())
sitters = st.lists(st.lists(items, min_size=1, max_size=14), min_size=1, max_size=5)
papers = st.sampled_from(sorted(PAPER_MM.values()))
units = st.sampled_from([scale.unit_mm for scale in SCALES.values()])
first_tops = st.floats(MARGIN, 80)


def overlap(one: PlacedFrame, other: PlacedFrame) -> bool:
    return (
        one.left < other.left + other.width
        and other.left < one.left + one.width
        and one.top < other.top + other.height
        and other.top < one.top + one.height
    )


@given(sitters, papers, units, first_tops)
def test_every_frame_is_placed_once_in_order_and_at_one_scale(
    shown: list[list[Item]], paper: tuple[float, float], unit: float, first_top: float
) -> None:
    pages = paged(shown, *paper, unit, first_top)
    placed = [(row.sitter, frame.index) for page in pages for row in page for frame in row.frames]
    assert placed == [(sitter, index) for sitter, held in enumerate(shown) for index in range(len(held))]
    for page in pages:
        for row in page:
            for frame in row.frames:
                assert (frame.width**2 + frame.height**2) ** 0.5 == pytest.approx(DIAGONAL * unit)


@given(sitters, papers, units, first_tops)
def test_eyes_of_a_row_are_on_its_line(
    shown: list[list[Item]], paper: tuple[float, float], unit: float, first_top: float
) -> None:
    for page in paged(shown, *paper, unit, first_top):
        for row in page:
            for frame in row.frames:
                above = shown[row.sitter][frame.index].hung.above
                assert frame.top + above * unit == pytest.approx(row.line)


@given(sitters, papers, units, first_tops)
def test_nothing_overlaps_and_all_is_on_the_paper(
    shown: list[list[Item]], paper: tuple[float, float], unit: float, first_top: float
) -> None:
    width, height = paper
    for number, page in enumerate(paged(shown, *paper, unit, first_top)):
        assert page or number == 0
        for row in page:
            assert row.top >= MARGIN - 1e-9
            for frame in row.frames:
                assert frame.left >= MARGIN
                assert frame.left + frame.width <= width - MARGIN + 1e-6
                assert row.top <= frame.top
                caption = shown[row.sitter][frame.index].caption
                assert frame.top + frame.height <= frame.caption_top <= row.bottom - caption + 1e-6
            assert row.bottom <= height - MARGIN - FOOT + 1e-6 or len(page) == 1
        for above, below in pairwise(page):
            assert above.bottom <= below.top
        frames = [frame for row in page for frame in row.frames]
        assert not any(overlap(one, other) for one, other in combinations(frames, 2))


@given(sitters, papers, units, first_tops)
def test_a_row_that_begins_a_page_or_a_sitter_shows_the_number(
    shown: list[list[Item]], paper: tuple[float, float], unit: float, first_top: float
) -> None:
    for page in paged(shown, *paper, unit, first_top):
        for place, row in enumerate(page):
            assert row.begins == (row.frames[0].index == 0)
            assert row.shows_label == (place == 0 or row.begins)


def test_a_bracket_goes_on_in_the_next_row() -> None:
    """Nine upright frames of one series, of which seven stand in a row of A4."""
    upright = Hung(24, 36, 14)
    series = [Item(upright, 8, begins=place == 0, ends=place == 8) for place in range(9)]
    ((first, second),) = paged([series], 210, 297, 0.9, 40)
    assert [(each.begins, each.ends) for each in first.brackets] == [(True, False)]
    assert [(each.begins, each.ends) for each in second.brackets] == [(False, True)]
    alone = paged([[Item(upright, 8)]], 210, 297, 0.9, 40)[0][0]
    assert not alone.brackets
