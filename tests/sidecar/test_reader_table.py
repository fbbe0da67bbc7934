"""The page that tells what readers see is current, for every column that can be run here."""

from __future__ import annotations

from tests.sidecar.reader_table import ALL, COLUMNS, NOTHING, present_columns, rows, written


def test_the_page_says_what_the_readers_see_today() -> None:
    kept_columns, kept = written()
    assert kept_columns == list(COLUMNS)
    here = present_columns()
    places = [0, 1, 2, *(3 + kept_columns.index(name) for name in here)]
    assert rows(here) == [[row[place] for place in places] for row in kept]


def test_every_program_reads_all_of_it_inside_a_jpeg() -> None:
    _, kept = written()
    (embedded,) = [row[3:] for row in kept if row[1] == "embedded"]
    assert embedded == [ALL] * len(COLUMNS)
    assert all(set(row[3:]) == {NOTHING} for row in kept if row[1:3] == ["sidecar", "the photo"])
