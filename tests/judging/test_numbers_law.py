"""The law of the numbers: ranges of framing that cannot meet are a mistake (common practice)."""

from __future__ import annotations

from tests.judging.test_rules import BASE, read


def test_the_law_of_the_numbers_says_which_ranges_cannot_meet() -> None:
    """Common practice: eye line = headroom + 0.51 head height; chin room = 1 - eye line - 0.49 head."""
    mine = """name = "mine"
inherits = "base"
[criteria.headroom]
between = [0.20, 0.25]
[criteria.head_height]
measure = "head_height"
between = [0.50, 0.60]
limits = [0.3, 0.8]
[criteria.eye_line]
measure = "eye_line"
between = [0.30, 0.38]
limits = [0.1, 0.6]
"""
    (mistake,) = read(BASE, mine.replace("[0.20, 0.25]", "[0.20, 0.25]\nlimits = [0, 0.4]")).mistakes
    assert "headroom 0.2 to 0.25" in mistake.problem and "eye_line 0.3 to 0.38" in mistake.problem
    assert read(BASE, mine.replace("[0.20, 0.25]", "[0.06, 0.12]")).mistakes == ()


def test_the_law_also_ties_the_chin_room() -> None:
    mine = """name = "mine"
inherits = "base"
[criteria.head_height]
measure = "head_height"
between = [0.38, 0.50]
limits = [0.3, 0.8]
[criteria.chin_room]
measure = "chin_room"
between = [0.10, 0.20]
limits = [0.0, 0.6]
"""
    (mistake,) = read(BASE, mine).mistakes
    assert "chin_room 0.1 to 0.2" in mistake.problem


def test_the_law_holds_where_the_headroom_is_not_judged() -> None:
    """Eyes at half height and half the height below the chin leave no room for a face between."""
    mine = """name = "mine"
inherits = "base"
[criteria.headroom]
off = true
[criteria.eye_line]
measure = "eye_line"
between = [0.50, 0.60]
limits = [0.1, 0.9]
[criteria.head_height]
measure = "head_height"
between = [0.40, 0.50]
limits = [0.3, 0.8]
[criteria.chin_room]
measure = "chin_room"
between = [0.45, 0.50]
limits = [0.0, 0.6]
"""
    (mistake,) = read(BASE, mine).mistakes
    assert "chin_room 0.45 to 0.5" in mistake.problem and "headroom 0" not in mistake.problem
    assert read(BASE, mine.replace("[0.45, 0.50]", "[0.20, 0.30]")).mistakes == ()
