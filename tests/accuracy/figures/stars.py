"""The two errors that decide whether the stars are trusted, and what became of each kind of fault."""

from __future__ import annotations

from collections.abc import Sequence

from tests.accuracy.expected_verdicts import LABELS, Expected, deciding_label
from tests.accuracy.figures.row import Row
from tests.accuracy.judged import Judged

MOST_SOUND_LOST = 0.01
"""Share of sound frames that may be given 1 or 2 stars."""

MOST_DUDS_KEPT = 0.005
"""Share of duds that may be given 4 or 5 stars."""

KIND_HEADINGS = ("by the labels", "expected", "frames", "no star", "1", "2", "3", "4 or 5")
NAMED_HEADINGS = ("frame", "by the labels", "stars", "because")

LOW, HIGH = (1, 2), (4, 5)


def star_rows(judged: Sequence[Judged]) -> list[Row]:
    """Sound frames thrown away and duds kept, with the errors next to them that have no goal."""
    rows = []
    for expected, stars, name, goal in (
        (Expected.SOUND, LOW, "sound frames given 1 or 2 stars", MOST_SOUND_LOST),
        (Expected.DUD, HIGH, "duds given 4 or 5 stars", MOST_DUDS_KEPT),
        (Expected.DUD, (3,), "duds given 3 stars", None),
        (Expected.WEAK, HIGH, "weak frames given 4 or 5 stars", None),
        (Expected.TASTE, LOW, "matters of taste given 1 or 2 stars", None),
    ):
        of_kind = [each for each in _of_one_person(judged) if _expected(each) is expected]
        wrong = sum(each.stars in stars for each in of_kind)
        share = wrong / len(of_kind) if of_kind else 0.0
        rows.append(
            Row(
                name,
                len(of_kind),
                None,
                f"{wrong} of {len(of_kind)}, {share:.1%}",
                "" if goal is None else f"≤ {100 * goal:g} %",
                None if goal is None else share <= goal,
            )
        )
    return rows


def star_kinds(judged: Sequence[Judged]) -> list[tuple[str, ...]]:
    """Stars given, by the label that decides the verdict that a frame is expected to get."""
    lines = []
    for label in (*LABELS, None):
        stars = [each.stars for each in _of_one_person(judged) if deciding_label(each.pair.portrait) is label]
        if stars:
            counts = [sum(given == n for given in stars) for n in (0, 1, 2, 3)]
            counts.append(sum(given in HIGH for given in stars))
            name, expected = ("none", Expected.SOUND) if label is None else (label.name, label.expected)
            lines.append((name, expected.value, str(len(stars)), *(str(n) if n else "" for n in counts)))
    return lines


def wrong_stars(judged: Sequence[Judged]) -> list[tuple[str, ...]]:
    """Every frame of `star_rows`, by name, with what eyeline said of it."""
    lines = []
    for each in _of_one_person(judged):
        expected = _expected(each)
        thrown_away = expected in (Expected.SOUND, Expected.TASTE) and each.stars in LOW
        kept = (expected is Expected.DUD and each.stars >= 3) or (
            expected is Expected.WEAK and each.stars in HIGH
        )
        if thrown_away or kept:
            label = deciding_label(each.pair.portrait)
            lines.append(
                (each.name, "sound" if label is None else label.name, str(each.stars), _because(each))
            )
    return lines


def _of_one_person(judged: Sequence[Judged]) -> list[Judged]:
    return [each for each in judged if each.pair.portrait.truth["people_count"] == 1]


def _expected(each: Judged) -> Expected:
    label = deciding_label(each.pair.portrait)
    return Expected.SOUND if label is None else label.expected


def _because(each: Judged) -> str:
    """The fault that capped the stars, else the heaviest loss."""
    reasons = each.verdict.reasons
    faults = [reason for reason in reasons if reason.stars_at_most is not None]
    worst = min(faults, key=lambda reason: reason.stars_at_most or 0) if faults else None
    if worst is not None and worst.stars_at_most == each.stars:
        return worst.sentence
    return f"score {each.verdict.score:.2f} on {each.verdict.genre}"
