"""The name of a photo as cameras and people write it: letters and a number."""

from __future__ import annotations

import re
from dataclasses import dataclass

from eyeline.selecting.words import FILE_ENDINGS, ON_A_NUMBER

_ENDING = re.compile(rf"\.(?:{FILE_ENDINGS})$", re.IGNORECASE)
_COPY = re.compile(r" ?\(\d+\)$")
_DIGITS = re.compile(r"\d+")
FEWEST_DIGITS = 3
"""Of the group that is a frame's number, where one has so many: cameras write four or more, so `2` in
NL1_0213-2 is none."""

TAIL_DIGITS = 4
"""Cameras count frames to 9999 and may put folder or day before that (DCF, JEITA CP-3461)."""


@dataclass(frozen=True, slots=True)
class FrameName:
    """`letters`: what stands before the number, without signs, in lower case; empty where only a number was
    said. `digits`: the number as it was written, empty where there is none."""

    letters: str
    digits: str

    @property
    def number(self) -> int | None:
        """The number; leading zeros mean nothing."""
        return int(self.digits) if self.digits else None

    @property
    def tail(self) -> int | None:
        """What its camera counts: the last four digits, None where it has no more than those."""
        return int(self.digits[-TAIL_DIGITS:]) if len(self.digits) > TAIL_DIGITS else None


def frame_name(text: str) -> FrameName:
    """The name in `text`, a file's name with or without its ending, or a number."""
    stem = _COPY.sub("", _ENDING.sub("", text.strip()))
    groups = list(_DIGITS.finditer(stem))
    if not groups:
        return FrameName(_letters(stem), "")
    number = next((each for each in reversed(groups) if len(each[0]) >= FEWEST_DIGITS), groups[-1])
    letters = _letters(stem[: number.start()])
    return FrameName("" if letters in ON_A_NUMBER else letters, number[0])


def _letters(text: str) -> str:
    return "".join(sign for sign in text.casefold() if sign.isalnum())
