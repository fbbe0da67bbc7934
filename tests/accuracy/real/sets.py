"""Real photographs with what is known of them: portraits by the labels of two raters, studio pictures of
sitters who look into the lens. They lie in the folder of the further sets (EYELINE_SHARED) or nowhere.

Every other portrait may be looked at while an estimator is fitted or a threshold chosen, and three in four
of the studio's sitters may be trained on. What is left is scored once, at the end; `seen` says which is
which.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.accuracy.portraits import SHARED

HELD_OUT_OF, HELD_OUT = 4, 3
"""A sitter of the studio whose number leaves this remainder is never trained on."""


@dataclass(frozen=True)
class Photograph:
    """One real photograph. `labels`: what both raters say alike, or what is assumed of the set, by key
    (`eyes`, `gaze`, `glasses`, ...); `seen`: it may have been looked at while something was fitted or chosen.
    """

    path: Path
    set_name: str
    labels: dict[str, Any]
    seen: bool

    def is_(self, key: str, *words: str) -> bool:
        """Whether the label `key` is known and one of `words`."""
        return self.labels.get(key) in words


def real_portraits() -> list[Photograph]:
    """The portraits with two raters' labels; by their place in the list, counted from 0, those with an odd
    number are `seen`. Empty where they are not at hand.
    """
    rows = _rows("portraits")
    return [
        Photograph(row["file"], "portraits", _agreed(row["rater1"], row["rater2"]), number % 2 == 1)
        for number, row in enumerate(rows)
    ]


def studio_pictures() -> list[Photograph]:
    """The studio's pictures, neutral and smiling: open eyes that look into the lens. Empty where they are not
    at hand.
    """
    return [
        Photograph(
            row["file"],
            "studio",
            row["assumed"] | {"expression": row["expression"], "person": row["person"]},
            int(row["person"]) % HELD_OUT_OF != HELD_OUT,
        )
        for row in _rows("london")
    ]


def _agreed(one: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    return {key: word for key, word in one.items() if other.get(key) == word and word != "?"}


def _rows(name: str) -> list[dict[str, Any]]:
    listed = SHARED / "real" / f"{name}.jsonl"
    if not listed.is_file():
        return []
    rows = [json.loads(line) for line in listed.read_text().splitlines()]
    return [row | {"file": listed.parent / row["file"]} for row in rows]
