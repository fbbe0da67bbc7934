"""An earlier report is read as it was written."""

from __future__ import annotations

from tests.accuracy.earlier import figures_of, with_before
from tests.accuracy.figures.row import Row

ROW = Row("pupils", 3, 1.0, "median 0.5 %", "median 2 %", True)

REPORT = """## Bundled shoot

| measure | photos | measured | figure | goal | reached |
| --- | --- | --- | --- | --- | --- |
| pupils | 3 | 100.0 % | median 0.7 % | median 2 % | yes |

| frame | by the labels | stars | because |
| --- | --- | --- | --- |
| pupils | x | 3 | no figure of a measure |

## Ten other sitters

| measure | photos | measured | figure | before | goal | reached |
| --- | --- | --- | --- | --- | --- | --- |
| pupils | 4 | 100.0 % | median 0.9 % | median 1.1 % | median 2 % | yes |
"""


def test_each_section_has_its_own_figures() -> None:
    assert figures_of(REPORT) == {
        "Bundled shoot": {"pupils": "median 0.7 %"},
        "Ten other sitters": {"pupils": "median 0.9 %"},
    }


def test_the_earlier_figure_stands_after_the_new_one() -> None:
    (cells,) = with_before([ROW], figures_of(REPORT), "Bundled shoot")
    assert cells[3:] == ("median 0.5 %", "median 0.7 %", "median 2 %", "yes")
    (cells,) = with_before([ROW], {}, "Bundled shoot")
    assert cells[4] == ""
