"""The frames that an answer means, among those that there are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath

from eyeline.selecting.answer import Answer
from eyeline.selecting.mention import Asked
from eyeline.selecting.name import FrameName, frame_name


@dataclass(frozen=True, slots=True)
class Ambiguous:
    """What fits more than one shoot: the client's `words`, and the frames that they may mean, a tuple for
    each shoot. `refused`: said of frames that are not wanted."""

    words: str
    candidates: tuple[tuple[PurePath, ...], ...]
    refused: bool = False


@dataclass(frozen=True, slots=True)
class Meant:
    """`frames`: each with the words that it was asked for by, in the order of the photos. `ambiguous`: what
    somebody has to say. `unknown`: words that fit no frame. `refused`: frames that are not wanted."""

    frames: tuple[tuple[PurePath, str], ...]
    ambiguous: tuple[Ambiguous, ...] = ()
    unknown: tuple[str, ...] = ()
    refused: tuple[PurePath, ...] = ()


def frames_meant(
    answer: Answer, photos: Sequence[PurePath], settled: Sequence[tuple[str, Sequence[PurePath]]] = ()
) -> Meant:
    """Which of `photos` the answer means. `settled`: what somebody said of words that were ambiguous."""
    names = {photo: frame_name(photo.name) for photo in photos}
    said = dict(settled)
    wanted: dict[PurePath, str] = dict.fromkeys(photos, "all") if answer.everything else {}
    ambiguous: list[Ambiguous] = []
    unknown: list[str] = []
    refused: set[PurePath] = set()
    for asked, is_refused in (
        *((each, False) for each in answer.wanted),
        *((each, True) for each in answer.unwanted),
    ):
        if asked.words in said:
            groups: tuple[tuple[PurePath, ...], ...] = (tuple(said[asked.words]),)
        else:
            groups = _by_shoot(_fitting(asked, names), names)
        if len(groups) > 1 and is_refused:
            # Of several that it may mean, only those that are wanted can be refused.
            groups = tuple(group for group in groups if any(photo in wanted for photo in group)) or groups[:1]
        if not groups:
            if not is_refused:
                unknown.append(asked.words)
        elif len(groups) > 1:
            ambiguous.append(Ambiguous(asked.words, groups, is_refused))
        elif is_refused:
            refused.update(groups[0])
        else:
            for photo in groups[0]:
                wanted.setdefault(photo, asked.words)
    frames = tuple((photo, wanted[photo]) for photo in photos if photo in wanted and photo not in refused)
    return Meant(
        frames,
        tuple(ambiguous),
        tuple(dict.fromkeys(unknown)),
        tuple(photo for photo in photos if photo in refused),
    )


def _fitting(asked: Asked, names: dict[PurePath, FrameName]) -> list[PurePath]:
    """Every photo that fits: by its whole name, else by its number, else by what its camera counts."""
    if asked.last is None:
        stem = asked.words.casefold()
        exact = [photo for photo in names if stem in (photo.name.casefold(), photo.stem.casefold())]
        if exact:
            return exact
    low, high = asked.first.number, (asked.last or asked.first).number
    if low is None or high is None:
        return []
    letters = asked.first.letters
    alike = [
        (photo, name)
        for photo, name in names.items()
        if not letters or name.letters == letters or name.letters.endswith(letters)
    ]
    by_number = [photo for photo, name in alike if name.number is not None and low <= name.number <= high]
    return by_number or [photo for photo, name in alike if name.tail is not None and low <= name.tail <= high]


def _by_shoot(
    photos: Sequence[PurePath], names: dict[PurePath, FrameName]
) -> tuple[tuple[PurePath, ...], ...]:
    """`photos` by folder and by the letters before the number; versions of one frame stand apart too."""
    groups: dict[tuple[object, ...], list[PurePath]] = {}
    for photo in photos:
        name = names[photo]
        after = photo.stem.rpartition(name.digits)[2]
        groups.setdefault((photo.parent, name.letters, after), []).append(photo)
    return tuple(tuple(group) for group in groups.values())
