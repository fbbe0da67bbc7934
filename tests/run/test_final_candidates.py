"""Which frames a final may be of: what its numbers and its time of capture say."""

from __future__ import annotations

import pytest

from eyeline.run.final_candidates import beside_gaps, same_moment


@pytest.mark.parametrize(
    ("names", "gaps"),
    [
        (["NL1_0213.jpg", "NL1_0214.jpg", "NL1_0216.jpg", "NL1_0217.jpg"], {1, 2}),
        (["NL1_0213.jpg", "NL1_0214.jpg"], set()),
        (["A_1.jpg", "B_3.jpg", "A_2.jpg", "B_5.jpg"], {1, 3}),
        (["cover.jpg", "back.jpg", "NL1_0213.jpg"], set()),
    ],
)
def test_a_missing_number_makes_its_neighbours_unsure(names: list[str], gaps: set[int]) -> None:
    """Within the range of one camera's numbers: what came before the first is not known to be missing."""
    assert beside_gaps(names) == gaps


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("2026-05-04T10:11:12", "2026-05-04T10:11:12", True),
        ("2026-05-04T10:11:12.250+02:00", "2026-05-04T10:11:12", True),
        ("2026-05-04T10:11:12.25-05:00", "2026-05-04T10:11:12.250Z", True),
        ("2026-05-04T10:11:12.25", "2026-05-04T10:11:12.75", False),
        ("2026-05-04T10:11:12", "2026-05-04T10:11:13", False),
    ],
)
def test_times_are_compared_as_exactly_as_both_are_told(one: str, other: str, is_same: bool) -> None:
    assert same_moment(one, other) is is_same
