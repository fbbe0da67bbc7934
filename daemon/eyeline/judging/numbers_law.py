"""The law of the numbers: at level camera, eye line, headroom, head height and chin room hang together.

eye line = headroom + 0.51 x head height; chin room = 1 - eye line - 0.49 x head height. The shares
0.51 and 0.49 come from head height above the eyes in ANSUR II (US Army 2012), hair included
(common practice). A genre whose ranges cannot meet asks for a picture that nobody can take.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

from eyeline.judging.grammar import CriterionTable

ABOVE_EYES = 0.51
BELOW_EYES = 0.49
ANY = {"headroom": (-1.0, 1.0), "head_height": (0.0, 2.0)}
"""Fractions of the frame between which these lie in any picture, also where the crown is cut."""

CANNOT_MEET = "these ranges cannot meet"
"""How the message begins."""

TOLERANCE = 0.02
"""Fraction of the frame: people differ by 0.022 of head height (ANSUR II), half a head here."""

Interval = tuple[float, float]
Linear = tuple[float, float]


def contradiction(criteria: Mapping[str, CriterionTable]) -> tuple[str, tuple[str, ...]] | None:
    """What cannot meet, in words, and the names of the criteria concerned; None if all can."""
    ranges: dict[str, Interval] = {}
    names: dict[str, str] = {}
    for name, table in criteria.items():
        interval = _interval(table)
        if table.measure in ("eye_line", "headroom", "head_height", "chin_room") and interval is not None:
            ranges[table.measure] = interval
            names[table.measure] = name
    for tested in (("eye_line",), ("chin_room",), ("eye_line", "chin_room")):
        if not set(tested) <= ranges.keys():
            continue
        used = {key: ranges[key] for key in ("headroom", "head_height", *tested) if key in ranges}
        if not _can_meet(ANY | used):
            shown = ", ".join(f"{key} {low:g} to {high:g}" for key, (low, high) in used.items())
            law = " and ".join(_LAWS[key] for key in tested)
            return f"{CANNOT_MEET}: {shown} (law of the numbers: {law})", tuple(names[key] for key in used)
    return None


_LAWS = {
    "eye_line": "eye line = headroom + 0.51 x head height",
    "chin_room": "chin room = 1 - eye line - 0.49 x head height",
}


def _interval(table: CriterionTable) -> Interval | None:
    if table.between is not None:
        return table.between
    if table.at_least is not None:
        return table.at_least, 1.0
    if table.at_most is not None:
        return 0.0, table.at_most
    return None


def _can_meet(ranges: Mapping[str, Interval]) -> bool:
    """Whether a headroom exists, for some head height, that keeps all ranges.

    For a given head height h each range bounds the headroom from below and above by a straight line
    in h, so the gap between the highest lower and the lowest upper bound is largest at an end of the
    range of h or where two of these lines cross.
    """
    low_h, high_h = ranges["head_height"]
    lower: list[Linear] = [(ranges["headroom"][0], 0.0)]
    upper: list[Linear] = [(ranges["headroom"][1], 0.0)]
    if "eye_line" in ranges:
        low, high = ranges["eye_line"]
        lower.append((low - TOLERANCE, -ABOVE_EYES))
        upper.append((high + TOLERANCE, -ABOVE_EYES))
    if "chin_room" in ranges:
        low, high = ranges["chin_room"]
        lower.append((1 - high - TOLERANCE, -(ABOVE_EYES + BELOW_EYES)))
        upper.append((1 - low + TOLERANCE, -(ABOVE_EYES + BELOW_EYES)))
    heights = [low_h, high_h]
    for (a, b), (c, d) in combinations((*lower, *upper), 2):
        if b != d and low_h < (crossing := (c - a) / (b - d)) < high_h:
            heights.append(crossing)
    return any(
        max(a + b * height for a, b in lower) <= min(a + b * height for a, b in upper) + 1e-9
        for height in heights
    )
