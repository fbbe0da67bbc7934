"""The short form of the accuracy table: the bundled shoot against the goals, each read from its row.

Table and test are the same rows, so that they cannot part. `python -m tests.accuracy --full` is the long
form, over the sets that lie beside the checkout.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from tests.accuracy.figures.row import Row
from tests.accuracy.figures.stars import star_rows
from tests.accuracy.figures.table import all_rows
from tests.accuracy.judged import judge_set
from tests.accuracy.pipeline import Pair

pytestmark = pytest.mark.slow

REACHED = (
    "found, head ≥ 8 %, yaw to 30°",
    "pupils",
    "eye_line",
    "eye_x",
    "chin_room",
    "headroom",
    "head_yaw_deg",
    "head_roll_deg",
    "gaze angle",
    "gaze word",
    "closed eyes",
    "half-closed eyes",
    "open eyes called closed, worst sitter",
    "eye_blur_px",
    "light_ratio_stops",
    "face_clipped",
    "copy_space word, by the label",
    "face covered, though it is not",
    "sound frames given 1 or 2 stars",
    "duds given 4 or 5 stars",
)

MISSED: tuple[str, ...] = ("head_pitch_deg",)
"""Goals that the table shows as not reached on the shoot. Its five sitters rest at pitches of their own,
which one offset for all does not take off; what a correction learned on renders gained here it cost real
heads (measuring/head.py)."""

WITH_MASKS = "copy_space word, by the contract"
"""Reached where the sitters' masks are at hand, which the bundled shoot leaves out."""


@pytest.fixture(scope="module")
def rows(shoot_pairs: Sequence[Pair]) -> dict[str, Row]:
    found = (*all_rows(shoot_pairs), *star_rows(judge_set(shoot_pairs)))
    return {row.name: row for row in found}


@pytest.mark.parametrize("name", REACHED)
def test_a_goal_once_reached_stays_reached(name: str, rows: dict[str, Row]) -> None:
    assert rows[name].reached, rows[name].cells()


def test_every_goal_of_the_table_is_either_reached_or_known_as_missed(rows: dict[str, Row]) -> None:
    goals = {name for name, row in rows.items() if row.reached is not None}
    assert goals - {WITH_MASKS} == {*REACHED, *MISSED}
    assert WITH_MASKS not in rows or rows[WITH_MASKS].reached


def test_no_figure_is_flattered_by_leaving_photos_out(
    rows: dict[str, Row], shoot_pairs: Sequence[Pair]
) -> None:
    """A null counts as not measured; of the shoot's 61 frames all are found and nearly all measured. How
    often the gaze's word may be `unsure` stands in its own goal.
    """
    assert len(shoot_pairs) == 61
    assert all(pair.person is not None for pair in shoot_pairs)
    for name in {*REACHED} - {"gaze word"}:
        measured = rows[name].measured
        assert measured is None or measured >= 0.95, rows[name].cells()
