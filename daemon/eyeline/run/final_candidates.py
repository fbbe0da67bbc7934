"""Files that may be finals, and frames that they may be of: by name, by number, by when they were taken."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from itertools import takewhile
from pathlib import Path

import cv2
import numpy as np

from eyeline.deciding.decide import Decider
from eyeline.deciding.same_exposure import kind_of
from eyeline.errors import EyelineError
from eyeline.finals.registration import Shown, shown
from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.names import PHOTO_KINDS
from eyeline.ledger.records import Photo
from eyeline.reading.capture import read_capture
from eyeline.rendering.reduced import reduced_grey
from eyeline.run.delivery_source import BY_LIBVIPS
from eyeline.selecting.name import frame_name
from eyeline.workers.examine import picture_in, read_only

COMPARED_PX = 1000
"""Long side at which frame and final are compared: places are found to a tenth of a pixel of it."""

SECOND_ENDS = len("2026-05-04T10:11:12")

_MORE = re.compile(r"[-_ .(]")
"""What follows a frame's name in the name of its final: NL1_0213-final, NL1_0213 (2)."""


def with_finals_by_name(wanted: Sequence[Path], folders: Sequence[Path]) -> set[Path]:
    """Those of `wanted` that have a final by its name, beside them or in `folders`, not below those: no
    file is opened and no tree walked, so that a page may ask."""
    elsewhere = [path for folder in folders for path in _files_in(folder)]
    photos = [path for path in elsewhere if PHOTO_KINDS.get(path.suffix.lower()) in BY_LIBVIPS]
    numbers = {frame_name(path.name).number for path in photos} - {None}
    beside = {folder: sorted(_files_in(folder)) for folder in {path.parent for path in wanted}}
    found = set()
    for path in wanted:
        others = beside[path.parent]
        start = bisect_left(others, path.with_name(path.stem))
        following = takewhile(partial(_begins_as, path), others[start:])
        if any(_extends(other, path) for other in following) or frame_name(path.name).number in numbers:
            found.add(path)
    return found


def beside_gaps(names: Sequence[str]) -> frozenset[int]:
    """The places of the files called `names` beside whose number one is missing within their range."""
    known = [(frame_name(name).letters, frame_name(name).number) for name in names]
    of_letters: dict[str, set[int]] = {}
    for letters, number in known:
        if number is not None:
            of_letters.setdefault(letters, set()).add(number)
    found = set()
    for place, (letters, number) in enumerate(known):
        if number is not None:
            there = of_letters[letters]
            is_last, is_first = number == max(there), number == min(there)
            if not ((is_first or number - 1 in there) and (is_last or number + 1 in there)):
                found.add(place)
    return frozenset(found)


def same_moment(one: str, other: str) -> bool:
    """Whether two times of ISO 8601 name one moment, as exactly as both do; offsets are seldom kept."""
    (second, fraction), (second_too, fraction_too) = (
        (time[:SECOND_ENDS], time[SECOND_ENDS:].partition("+")[0].partition("-")[0].strip(".Z0"))
        for time in (one, other)
    )
    return second == second_too and (not fraction or not fraction_too or fraction == fraction_too)


@dataclass
class FinalCandidates:
    """Files that may be finals, and the frames that they may be of."""

    decider: Decider
    frames: Sequence[Photo]
    wanted: Sequence[Photo]
    folders: Sequence[Path]
    originals: list[Photo] = field(default_factory=list)
    _seen: dict[int, Shown | None] = field(default_factory=dict)

    def paths(self) -> Iterator[Path]:
        """The files, those beside frames first; sets `originals` to the frames that are none themselves."""
        wanted = [photo.frame.path for photo in self.wanted]
        beside = [path for folder in {path.parent for path in wanted} for path in _files_in(folder)]
        named = {path for path in beside if any(_extends(path, other) for other in wanted)}
        elsewhere = [
            found.path
            for found in catch_up(self.folders)
            if isinstance(found, Candidate) and kind_of(found.path) in BY_LIBVIPS
        ]
        files = dict.fromkeys([*sorted(named), *sorted(elsewhere)])
        self.originals = [photo for photo in self.frames if photo.frame.path not in files]
        yield from files

    def numbered(self, path: Path) -> list[int]:
        """Places of the frames whose number `path` bears, and whose letters if it has any."""
        name = frame_name(path.name)
        if name.number is None:
            return []
        found = [(place, frame_name(photo.frame.path.name)) for place, photo in enumerate(self.originals)]
        alike = [(place, other) for place, other in found if other.number == name.number]
        exact = [place for place, other in alike if other.letters == name.letters]
        return exact or [place for place, _ in alike]

    def taken_when(self, path: Path) -> list[int] | None:
        """Places of the frames that were taken when `path` was, by what the camera noted in both; None where
        the final, or any frame, does not tell."""
        times = [photo.frame.capture.taken_at for photo in self.originals]
        try:
            _, capture = read_capture(self.decider.exiftool, path)
        except EyelineError:
            return None
        own = capture.taken_at
        if own is None or None in times:
            return None
        return [place for place, time in enumerate(times) if time is not None and same_moment(time, own)]

    @cached_property
    def beside_gaps(self) -> frozenset[int]:
        """Places of the frames beside whose number one is missing."""
        return beside_gaps([photo.frame.path.name for photo in self.originals])

    def shown_at(self, place: int) -> Shown | None:
        """The frame at `place` as it is compared, read once; None where it cannot be read."""
        if place not in self._seen:
            try:
                self._seen[place] = _shown_frame(self.originals[place])
            except (EyelineError, OSError):
                self._seen[place] = None
        return self._seen[place]


def _files_in(folder: Path) -> list[Path]:
    try:
        return list(folder.iterdir())
    except OSError:
        return []


def _begins_as(original: Path, path: Path) -> bool:
    return path.name.startswith(original.stem)


def _extends(path: Path, original: Path) -> bool:
    """Whether `path` lies beside `original` and has its name and more."""
    stem, other = path.stem, original.stem
    return (
        path.parent == original.parent
        and stem != other
        and stem.startswith(other)
        and _MORE.match(stem[len(other) :]) is not None
        and PHOTO_KINDS.get(path.suffix.lower()) in BY_LIBVIPS
    )


def _shown_frame(photo: Photo) -> Shown:
    frame = photo.frame
    if kind_of(frame.path) in BY_LIBVIPS:
        return shown(reduced_grey(frame.path, COMPARED_PX).grey, frame.width, frame.height)
    picture = picture_in(read_only(frame.path), frame)
    grey = np.asarray(cv2.cvtColor(picture.reduced, cv2.COLOR_RGB2GRAY), np.uint8)
    return shown(grey, frame.width, frame.height)
