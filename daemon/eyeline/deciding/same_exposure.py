"""The files of one exposure: which of them is judged, and what is to be written about each."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from eyeline.deciding.shoot import folders_of
from eyeline.intake.names import PHOTO_KINDS
from eyeline.intake.status import status_of
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.sidecar.fields import Annotation
from eyeline.sidecar.naming import folded
from eyeline.sidecar.regions import Region
from eyeline.sitting.exposures import KINDS, SAME_SHAPE, ExposureFile, home, pairs, seen_in
from eyeline.terms.frame import Frame
from eyeline.terms.verdict import Verdict


@dataclass(frozen=True, slots=True)
class ToWrite:
    """What is to be written about one file.

    `photo`: with the measurements that were judged and its own frame. `measured_in`: the frame in which
    those were taken. `siblings`: frames of the other files of this exposure. `namesakes`: photos beside it
    that have its name but for the suffix and show another exposure.
    """

    photo: Photo
    verdict: Verdict
    measured_in: Frame
    siblings: tuple[Frame, ...] = ()
    namesakes: tuple[Path, ...] = ()

    @property
    def plain_name_is_due_to(self) -> Path:
        """Whose sidecar IMG_1.xmp is where several exposures are called IMG_1: that of a RAW, since for those
        programs look there first."""
        beside = [each.path for each in self.siblings if each.path.parent == self.photo.frame.path.parent]
        rivals = (self.photo.frame.path, *beside, *self.namesakes)
        return min(rivals, key=lambda path: (kind_of(path) != "RAW", KINDS.index(kind_of(path)), path))

    @property
    def rating_inside(self) -> float | None:
        """A rating that a person gave in the camera: stands in this file, else in one of the others."""
        for frame in (self.photo.frame, *self.siblings):
            if frame.capture.rating_inside:
                return frame.capture.rating_inside
        return self.photo.frame.capture.rating_inside


@dataclass(frozen=True, slots=True)
class Exposures:
    """Photos by path; for each that shows the exposure of another, that other one's path, and the other way
    about; and the paths that differ in nothing but the suffix, by what they share."""

    photos: Mapping[Path, Photo]
    follows: Mapping[Path, Path]
    followers: Mapping[Path, Sequence[Path]]
    named: Mapping[tuple[Path, str], Sequence[Path]]

    def leader(self, path: Path) -> Path:
        """The file that is judged for the one at `path`: itself, unless it follows another."""
        return self.follows.get(path, path)

    def judged_in(self, folder: Path) -> list[Photo]:
        """Every photo in `folder` that is judged for itself."""
        return [
            photo for path, photo in self.photos.items() if path.parent == folder and path not in self.follows
        ]

    def to_write(self, photo: Photo, verdict: Verdict, asked: Container[Path]) -> list[ToWrite]:
        """What is to be written about the exposure that `photo` leads: into `photo` itself if it is `asked`
        for, and into all that follow it."""
        leader = photo.frame.path
        frames = [photo.frame, *(self.photos[path].frame for path in self.followers.get(leader, ()))]
        return [
            ToWrite(
                replace(photo, frame=frame),
                verdict,
                photo.frame,
                tuple(other for other in frames if other is not frame),
                self._namesakes(frame.path),
            )
            for frame in frames
            if frame is not photo.frame or leader in asked
        ]

    def _namesakes(self, path: Path) -> tuple[Path, ...]:
        leader = self.leader(path)
        return tuple(other for other in self.named[_shared_name(path)] if self.leader(other) != leader)


def _shared_name(path: Path) -> tuple[Path, str]:
    return path.parent, folded(path.stem)


def exposures_around(ledger: Ledger, asked: Mapping[Path, Photo]) -> Exposures:
    """`asked` and all that the ledger knows in the same folders and those beside them for other kinds."""
    photos = dict(asked)
    for place in dict.fromkeys(Path(home(path.parent)) for path in asked):
        for folder in folders_of(place):
            for photo in _unasked(ledger, folder, asked):
                photos[photo.frame.path] = photo
    named: dict[tuple[Path, str], list[Path]] = {}
    for path in photos:
        named.setdefault(_shared_name(path), []).append(path)
    follows = {Path(a): Path(b) for a, b in pairs(map(_file, photos.values())).items()}
    followers: dict[Path, list[Path]] = {}
    for follower, leader in follows.items():
        followers.setdefault(leader, []).append(follower)
    return Exposures(photos, follows, followers, named)


def _unasked(ledger: Ledger, folder: Path, asked: Container[Path]) -> list[Photo]:
    """The measured photos in `folder` that are still there and not among those `asked` for."""
    paths = [row.path for row in ledger.files.in_folder(folder) if row.measured is not None]
    others = {path for path in paths if path not in asked and status_of(path) is not None}
    photos = ledger.photos.in_folder(folder) if others else []
    return [photo for photo in photos if photo.frame.path in others]


def fitted(
    annotation: Annotation, to_write: ToWrite, shared_with: Iterable[Frame]
) -> tuple[Annotation, bool]:
    """`annotation` with its regions where they are in the file to write; whether all of them could be.

    `shared_with`: frames of other files that read the same sidecar; regions hold for one way of storing
    and one shape only, so they are left out where those differ.
    """
    frame = to_write.photo.frame
    if any(not stored_alike(frame, other) for other in shared_with):
        return replace(annotation, regions=()), not annotation.regions
    regions = tuple(found for region in annotation.regions if (found := _moved(region, to_write)) is not None)
    return replace(annotation, regions=regions), len(regions) == len(annotation.regions)


def _moved(region: Region, to_write: ToWrite) -> Region | None:
    frame, measured_in = to_write.photo.frame, to_write.measured_in
    if frame is measured_in or _one_shape(frame, measured_in):
        return region
    if kind_of(frame.path) != "RAW":
        return None  # an edited rendering may be any part of the picture
    area = seen_in(region.area, (measured_in.width, measured_in.height), (frame.width, frame.height))
    return None if area is None else replace(region, area=area)


def _one_shape(one: Frame, other: Frame) -> bool:
    return abs(one.width * other.height / (one.height * other.width) - 1) <= SAME_SHAPE


def stored_alike(one: Frame, other: Frame) -> bool:
    """Whether regions of one hold for the other: both are stored turned alike and have one shape."""
    return one.orientation == other.orientation and _one_shape(one, other)


def kind_of(path: Path) -> str:
    """The kind of photo by its name; JPEG for a file without a known suffix, which a user named."""
    return PHOTO_KINDS.get(path.suffix.lower(), "JPEG")


def _file(photo: Photo) -> ExposureFile:
    frame = photo.frame
    return ExposureFile(frame.path, kind_of(frame.path), frame.capture.taken_at, frame.capture.serial)
