"""Which frames a sheet shows, and in which order."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from eyeline.errors import BadConfiguration
from eyeline.pages.sheet import Sheet, SheetFrame, SheetSitter
from eyeline.sitting.shot import natural, seconds_of

Order = Literal["taken", "name", "stars", "clock"]
"""`taken`: the frames of a series together; `clock`: by the camera's clock, whatever was measured."""

_RANGE = re.compile(r"([1-5])?(\.\.)?([1-5])?")


@dataclass(frozen=True, slots=True)
class Choice:
    """Frames with `fewest` to `most` stars that have each of `words` as a keyword, in `order`.

    `fewest` None: frames without stars too.
    """

    fewest: int | None = None
    most: int = 5
    words: tuple[str, ...] = ()
    order: Order = "taken"

    def takes(self, frame: SheetFrame) -> bool:
        """Whether `frame` is asked for."""
        has = {word.casefold() for word in (*frame.words, *frame.own_words)}
        if not {word.casefold() for word in self.words} <= has:
            return False
        if self.fewest is None:
            return True
        return frame.stars is not None and self.fewest <= frame.stars <= self.most

    @property
    def in_words(self) -> str:
        """What is asked for, "" for all."""
        said = []
        if self.fewest is not None:
            many = f"{self.fewest}" if self.fewest == self.most else f"{self.fewest} to {self.most}"
            said.append(f"{many} star{'' if many == '1' else 's'}")
        said += [f"keyword {word}" for word in self.words]
        return ", ".join(said)


def stars_range(text: str) -> tuple[int, int]:
    """Fewest and most stars of `3`, `3..`, `..2` or `2..4`. Raises BadConfiguration for anything else."""
    found = _RANGE.fullmatch(text.strip())
    low, dots, high = found.groups() if found else (None, None, None)
    if low is None and high is None:
        raise BadConfiguration(f"{text!r} are no stars", cure="Say 3, 3.., ..2 or 2..4")
    fewest = int(low or 1)
    most = int(high or (5 if dots else fewest))
    if fewest > most:
        raise BadConfiguration(f"{text!r} has no stars in it", cure=f"Say {most}..{fewest}")
    return fewest, most


def chosen(sheet: Sheet, choice: Choice) -> Sheet:
    """`sheet` with the frames that `choice` takes; sitters of whom none is left go."""
    sitters = [
        replace(sitter, frames=frames)
        for sitter in sheet.sitters
        if (frames := _ordered([frame for frame in sitter.frames if choice.takes(frame)], choice.order))
    ]
    return replace(sheet, sitters=tuple(sitters), asked=choice.in_words)


def _ordered(frames: Sequence[SheetFrame], order: Order) -> tuple[SheetFrame, ...]:
    if order == "name":
        return tuple(sorted(frames, key=lambda frame: natural(frame.photo.frame.path.name)))
    if order == "clock":
        return tuple(sorted(frames, key=_by_clock))
    if order == "stars":
        return tuple(sorted(frames, key=lambda frame: -(frame.stars or 0)))
    return tuple(frames)


def _by_clock(frame: SheetFrame) -> tuple[bool, float, object]:
    seconds = seconds_of(frame.photo.frame.capture.taken_at)
    return seconds is None, seconds or 0.0, natural(frame.photo.frame.path.name)


def series_ends(frames: Sequence[SheetFrame]) -> list[tuple[bool, bool]]:
    """For each frame whether a bracket begins and ends there: (True, True) outside of any bracket.

    A bracket holds neighbours of one series.
    """
    keys = [frame.series for frame in frames]
    return [
        (
            key is None or place == 0 or keys[place - 1] != key,
            key is None or place == len(keys) - 1 or keys[place + 1] != key,
        )
        for place, key in enumerate(keys)
    ]


def grouped(frames: Sequence[tuple[str, str | None, SheetFrame]]) -> tuple[SheetSitter, ...]:
    """Group `frames`, each with its sitter's label and when it was taken, by label in order of appearance."""
    found: dict[str, list[tuple[str | None, SheetFrame]]] = {}
    for label, taken_at, frame in frames:
        found.setdefault(label, []).append((taken_at, frame))
    return tuple(
        SheetSitter(label, min((at for at, _ in held if at), default=None), tuple(frame for _, frame in held))
        for label, held in found.items()
    )
