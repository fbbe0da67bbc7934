"""Confusion of words: what is true by what is found."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from tests.accuracy.figures.further import true_scale
from tests.accuracy.figures.gaze import gaze_words
from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Person

GAZE = ("camera", "left", "right", "up", "down")
LIDS = ("open", "half", "closed")
HEIGHTS = ("low", "level", "high")
SCALES = ("close-up", "headshot", "half-length", "three-quarter", "full-length")

OPEN_FROM = 0.5
"""Probability from which eyes count as called open."""

HIGH_FROM_DEG = 8.0
"""Camera pitch from which the camera is low or high (docs/measures.md)."""


def confusions(pairs: Sequence[Pair]) -> list[tuple[str, tuple[str, ...], list[tuple[str, ...]]]]:
    """Title, headings and lines of each table of true words by found words."""
    sitters = [(pair, pair.person) for pair in pairs if pair.person is not None]
    return [
        _table(
            "the look (open, readable eyes off the borders)",
            gaze_words(pairs),
            GAZE,
            (*GAZE, "unsure", "closed"),
        ),
        _table(
            "the lids (not open: `eyes_open` under 0.5; closed: the gaze says so)",
            [(person.eyes, lids_found(pair)) for pair, person in sitters if lids_found(pair)],
            LIDS,
            ("open", "not open", "closed"),
        ),
        _table(
            "the camera's height", _found(sitters, "camera_height", _height), HEIGHTS, (*HEIGHTS, "unsure")
        ),
        _table("the shot's scale", _found(sitters, "shot_scale", true_scale), SCALES, (*SCALES, "null")),
    ]


def lids_found(pair: Pair) -> str:
    """`open`, `not open`, `closed`, or nothing where it was not measured."""
    value = pair.number("eyes_open")
    if pair.value("gaze") == "closed":
        return "closed"
    return "" if value is None else "open" if value >= OPEN_FROM else "not open"


def _height(_: Pair, person: Person) -> str:
    pitch = person.camera_pitch_deg
    return "high" if pitch < -HIGH_FROM_DEG else "low" if pitch > HIGH_FROM_DEG else "level"


def _found(
    sitters: Sequence[tuple[Pair, Person]], name: str, truth: Callable[[Pair, Person], str | None]
) -> list[tuple[str, str]]:
    return [
        (true, str(pair.value(name) or "null"))
        for pair, person in sitters
        if (true := truth(pair, person)) is not None
    ]


def _table(
    title: str, words: Sequence[tuple[str, str]], true_words: Sequence[str], found_words: Sequence[str]
) -> tuple[str, tuple[str, ...], list[tuple[str, ...]]]:
    counts = Counter(words)
    lines = [
        (true, *(str(counts[true, found]) if counts[true, found] else "" for found in found_words))
        for true in true_words
        if any(counts[true, found] for found in found_words)
    ]
    return title, ("", *(f"found {word}" for word in found_words)), lines
