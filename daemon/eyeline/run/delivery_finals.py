"""Finals: retouched files of frames, found beside them or in folders that are named."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import takewhile
from pathlib import Path

import cv2
import numpy as np

from eyeline.deciding.decide import Decider
from eyeline.deciding.same_exposure import kind_of
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.errors import EyelineError, UnreadablePhoto, printable
from eyeline.finals.match import Match, match
from eyeline.finals.registration import Shown, shown
from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.names import PHOTO_KINDS
from eyeline.intake.status import status_of
from eyeline.ledger.records import Photo
from eyeline.rendering.reduced import Reduced, reduced_grey
from eyeline.run.delivery_source import BY_LIBVIPS, Final, Finals
from eyeline.selecting.name import frame_name
from eyeline.sidecar.own_crops import own_crops
from eyeline.terms.rectangle import Rectangle
from eyeline.workers.examine import picture_in, read_only

COMPARED_PX = 1000
"""Long side at which frame and final are compared: places are found to a tenth of a pixel of it."""

_MORE = re.compile(r"[-_ .(]")
"""What follows a frame's name in the name of its final: NL1_0213-final, NL1_0213 (2)."""


def find_finals(
    decider: Decider,
    frames: Sequence[Photo],
    wanted: Sequence[Photo],
    folders: Sequence[Path],
    stopped: Callable[[], bool] = lambda: False,
) -> Finals:
    """The final of each of the `wanted` among `frames`: in `folders`, or beside the frame under its name and
    more. Of several the one that was saved last. `stopped`: asked before each file; the rest are left out."""
    files = _Candidates(decider, frames, wanted, folders)
    found: dict[Path, Final] = {}
    told: list[str] = []
    asked = {photo.frame.path for photo in wanted}
    for path in files.paths():
        if stopped():
            break
        try:
            seen = reduced_grey(path, COMPARED_PX)
        except UnreadablePhoto as error:
            told.append(str(error))
            continue
        numbered = files.numbered(path)
        result = match(
            shown(seen.grey, seen.width, seen.height), len(files.originals), numbered, files.shown_at
        )
        problem = _problem(path, result, files.originals)
        if problem is not None:
            told.append(problem)
        if result.place is None or result.registered is None:
            continue
        of = files.originals[result.place].frame.path
        final = _final(decider, path, seen, result)
        earlier = found.get(of)
        if of not in asked:
            continue
        if earlier is not None:
            newer = max(earlier, final, key=lambda each: each.saved_ns)
            told.append(
                f"{printable(of.name)} has several finals: {printable(newer.path.name)} is the newest"
            )
            final = newer
        found[of] = final
    return Finals(found, tuple(told))


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


def _final(decider: Decider, path: Path, seen: Reduced, result: Match) -> Final:
    assert result.registered is not None
    status = status_of(path)
    record = SidecarRecords(decider.ledger, decider.configuration.naming).readable(path)
    own: tuple[Rectangle, ...] = ()
    if record is not None:
        own = own_crops(record.found, record.believed, seen.orientation)
    identity = f"{path}:{status.size}:{status.mtime_ns}" if status is not None else str(path)
    return Final(
        path,
        seen.width,
        seen.height,
        seen.orientation,
        result.registered.transform,
        identity,
        own,
        status.mtime_ns if status is not None else 0,
    )


def _problem(path: Path, result: Match, originals: Sequence[Photo]) -> str | None:
    """What a person should know of a final."""
    name = printable(path.name)
    if result.rivals:
        names = [printable(originals[place].frame.path.name) for place in result.rivals[:3]]
        looks = f"fits {' and '.join(names)}" if len(names) > 1 else f"looks like {names[0]}, but not surely"
        return f"{name} {looks}: give it the number of its frame"
    if result.place is None:
        return f"{name} fits no frame here"
    shows = originals[result.place].frame.path.name
    own, others = frame_name(path.name), frame_name(shows)
    if own.number is not None and not result.named and own.number != others.number:
        return f"{name} shows {printable(shows)}, whatever its number says"
    return None


@dataclass(slots=True)
class _Candidates:
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
