"""Who sits in which frame. That is said, never recognised from faces: by a list in the order of the chairs, a
folder, a slate with or without a code, or a word of the photographer."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path, PurePath
from typing import Literal

from eyeline.sitting.exposures import home
from eyeline.sitting.shot import Shot, in_order
from eyeline.sitting.sittings import LONG_PAUSE_SECONDS
from eyeline.toml_files.mistake import nearest

Parting = Literal["slates", "pauses", "folders", "said"]
"""What parts one sitter from the next: a frame without a face; the same or a long pause; folders; nothing but
what the photographer says."""

SLATE_CODE = "slate_code"
"""The measure that reads a code on a frame without a face."""

LIGHTNESS = "background_lightness"
"""The measure of how light the backdrop is, L* (CIELAB)."""

DARKEST_SLATE = 8.0
"""L* below which a frame without a face is black: the flash did not fire, and nobody stands up for that.
Black paper in the light of a flash has 10 and more."""

LEAST_SITTING = 3
"""Frames at the end of a part that were moved to one sitter, from which they are a sitting whose slate was
forgotten: one or two are strays, such as a first frame before the slate."""

_WITH_CHECK_DIGIT = re.compile(r"\d{8}|\d{12,13}")
"""EAN-8, UPC-A, EAN-13: the last digit checks the others (GS1 General Specifications, 7.9)."""


@dataclass(frozen=True, slots=True)
class Chair:
    """A line of the list: a sitter's number, and the name if the list has one."""

    number: str
    name: str = ""

    @property
    def words(self) -> str:
        """What to call the sitter in a report."""
        return f"{self.number} {self.name}".strip()


@dataclass(frozen=True, slots=True)
class Seats:
    """How a folder's brief tells sitters apart: photos under `home`, parted by `parted_by`, the sitters in
    the order of `chairs` where there is a list."""

    home: Path
    parted_by: Parting = "slates"
    chairs: tuple[Chair, ...] = ()

    def label(self, text: str) -> str:
        """The number of the sitter that `text` means, a number or a name; `text` itself if none is listed."""
        return label_of(text, self.chairs)

    def words(self, label: str) -> str:
        """What to call the sitter in a report."""
        return next((chair.words for chair in self.chairs if chair.number == label), label)

    def doubt(self, label: str) -> str:
        """What is to be said where the list does not have the sitter, perhaps by a slip; else ""."""
        if not self.chairs or any(chair.number == label for chair in self.chairs):
            return ""
        by_word = {word: chair for chair in self.chairs for word in (chair.name, *chair.name.split())}
        near = nearest(label, by_word)
        meant = f"did you mean {by_word[near].words}?" if near else f"it has {len(self.chairs)}."
        return f"{label} is not in the list: {meant}"

    def name(self, label: str) -> str:
        """The sitter's name, or the label where there is none."""
        return next((chair.name for chair in self.chairs if chair.number == label and chair.name), label)


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of one frame. `at`: of the saying, so that those of one saying are known; None where the
    frame was moved to its sitter later."""

    sitter: str
    at: str | None = None


def label_of(text: str, chairs: Sequence[Chair]) -> str:
    """The number of the chair that `text` means: its number, its name, or a word of its name that no other
    has. `text`, in one line, where there is no such chair."""
    text = " ".join(text.split())
    meant = [text]
    if _WITH_CHECK_DIGIT.fullmatch(text):
        meant.append(text[:-1])
    for each in meant:
        for chair in chairs:
            if _plain(each) in (_plain(chair.number), _plain(chair.name)):
                return chair.number
    if len(of_that_name := [chair for chair in chairs if _plain(text) in _plain(chair.name).split()]) == 1:
        return of_that_name[0].number
    return meant[-1].lstrip("0") or "0" if meant[-1].isdecimal() else text


def following(current: str | None, chairs: Sequence[Chair], seated: Collection[str]) -> str:
    """Who sits next after `current`: the next of the list who has not sat yet, from its start again where all
    after have; without a list, or where all have sat, the next free number."""
    numbers = [chair.number for chair in chairs]
    start = numbers.index(current) + 1 if current in numbers else 0
    for number in (*numbers[start:], *numbers[:start]):
        if number not in seated:
            return number
    last = int(current) if current is not None and current.isdecimal() and not numbers else len(numbers)
    while str(last + 1) in seated:
        last += 1
    return str(last + 1)


def seated(shots: Mapping[Path, Shot], said: Mapping[Path, Said], seats: Seats) -> dict[Path, str]:
    """The sitter's label of each of `shots` that has one. Frames before the first slate have none.

    Each camera is walked through alone, since clocks differ. What was said holds from the frame of which it
    was said until a slate, a pause or the next saying. Where all frames between two slates were moved to one
    sitter, or the last ones were since a slate was forgotten, those who come later in the list follow on from
    there.
    """
    if seats.parted_by == "folders":
        found = {path: _of_folder(path, seats) for path in shots}
        return {path: label for path, label in found.items() if label} | {
            path: each.sitter for path, each in said.items() if path in shots
        }
    labels: dict[Path, str] = {}
    cameras: dict[str | None, list[Path]] = {}
    for path, shot in shots.items():
        cameras.setdefault(shot.serial, []).append(path)
    for paths in cameras.values():
        paths.sort(key=lambda path: (*in_order(shots[path])[:2], path.parent, *in_order(shots[path])[2:]))
        walk = _Walk(seats, labels)
        for path in paths:
            walk.take(path, shots[path], said.get(path))
        walk.end_of_part()
    return labels


def is_black(shot: Shot) -> bool:
    """Whether a frame without a face is black all over: a flash that did not fire, no slate."""
    lightness = shot.number(LIGHTNESS)
    return shot.shows_no_face and lightness is not None and lightness < DARKEST_SLATE


@dataclass(slots=True)
class _Walk:
    """A walk through the frames of one camera. `part`: frames since the last slate or pause, each with who
    was moved there, if anybody."""

    seats: Seats
    labels: dict[Path, str]
    current: str | None = None
    is_parted: bool = False
    code: str | None = None
    said_at: str | None = None
    last_s: float | None = None
    had: set[str] = field(default_factory=set)
    part: list[str | None] = field(default_factory=list)

    def take(self, path: Path, shot: Shot, said: Said | None) -> None:
        self.is_parted = self.is_parted or self._is_pause(shot)
        if shot.seconds is not None:
            self.last_s = shot.seconds
        if is_black(shot):
            return
        if shot.shows_no_face:
            code = shot.value(SLATE_CODE)
            if isinstance(code, str):
                self.is_parted, self.code = True, self.seats.label(code)
            elif self.seats.parted_by != "said":
                self.is_parted = True
            return
        if said is not None and said.at is not None and said.at != self.said_at:
            self.end_of_part()
            self.said_at, self.current = said.at, said.sitter
            self.is_parted, self.code = False, None
        elif self.is_parted:
            self.end_of_part()
            self.current = self.code or following(self.current, self.seats.chairs, self.had)
            self.is_parted, self.code = False, None
        moved = said.sitter if said is not None and said.at is None else None
        label = moved or self.current
        self.part.append(moved)
        if label is not None:
            self.labels[path] = label
        if self.current is not None and moved is None:
            self.had.add(self.current)

    def end_of_part(self) -> None:
        """Where the whole part was moved to one sitter, or its end because a slate was forgotten, those after
        follow on from that one."""
        last = self.part[-1] if self.part else None
        if last is not None:
            run = next((n for n, moved in enumerate(reversed(self.part)) if moved != last), len(self.part))
            if run >= min(LEAST_SITTING, len(self.part)):
                self.current = last
                self.had.add(last)
        self.part = []

    def _is_pause(self, shot: Shot) -> bool:
        if self.seats.parted_by != "pauses" or shot.seconds is None:
            return False
        return self.last_s is None or shot.seconds - self.last_s > LONG_PAUSE_SECONDS


def _plain(text: str) -> str:
    text = text.casefold()
    return text.lstrip("0") or "0" if text.isdecimal() else text


def _of_folder(path: Path, seats: Seats) -> str | None:
    """The folder below the brief's own that a photo lies in names its sitter."""
    inside = PurePath(home(path.parent))
    try:
        below = inside.relative_to(seats.home)
    except ValueError:
        return None
    return seats.label(below.parts[0]) if below.parts else None
