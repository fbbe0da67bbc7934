"""The files of one exposure: which of them is judged, and what each of them is told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from eyeline.intake.look import look_at
from eyeline.intake.names import PHOTO_KINDS
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.sidecar.fields import Annotation, Region
from eyeline.sidecar.naming import folded
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
    """Photos by path; for each that shows the exposure of another, that other one's path; and the paths that
    differ in nothing but the suffix, by what they share."""

    photos: Mapping[Path, Photo]
    follows: Mapping[Path, Path]
    named: Mapping[tuple[Path, str], Sequence[Path]]

    def leader(self, path: Path) -> Path:
        """The file that is judged for the one at `path`: itself, unless it follows another."""
        return self.follows.get(path, path)

    def company(self, folder: Path) -> list[Photo]:
        """Every photo in `folder` that is judged for itself."""
        return [
            photo for path, photo in self.photos.items() if path.parent == folder and path not in self.follows
        ]

    def told(self, photo: Photo, verdict: Verdict, asked: Iterable[Path]) -> list[ToWrite]:
        """What the files of the exposure that `photo` leads are told: itself if it is `asked` for, and all
        that follow it."""
        leader = photo.frame.path
        followers = [path for path, leads in self.follows.items() if leads == leader]
        frames = [photo.frame, *(self.photos[path].frame for path in followers)]
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
    known: dict[Path, Photo] = {}
    for folder in dict.fromkeys(Path(home(path.parent)) for path in asked):
        for photo in ledger.photos.under(folder):
            path = photo.frame.path
            if Path(home(path.parent)) == folder and path not in asked and look_at(path) is not None:
                known[path] = photo
    photos = {**asked, **known}
    named: dict[tuple[Path, str], list[Path]] = {}
    for path in photos:
        named.setdefault(_shared_name(path), []).append(path)
    follows = {Path(a): Path(b) for a, b in pairs(map(_file, photos.values())).items()}
    return Exposures(photos, follows, named)


def fitted(annotation: Annotation, told: ToWrite, shared_with: Iterable[Frame]) -> tuple[Annotation, bool]:
    """`annotation` with its regions where they are in the file that is told; whether all of them could be.

    `shared_with`: frames of other files that read the same sidecar; regions hold for one way of storing
    and one shape only, so they are left out where those differ.
    """
    frame = told.photo.frame
    if any(not _stored_alike(frame, other) for other in shared_with):
        return replace(annotation, regions=()), not annotation.regions
    regions = tuple(found for region in annotation.regions if (found := _moved(region, told)) is not None)
    return replace(annotation, regions=regions), len(regions) == len(annotation.regions)


def _moved(region: Region, told: ToWrite) -> Region | None:
    frame, measured_in = told.photo.frame, told.measured_in
    if frame is measured_in or _one_shape(frame, measured_in):
        return region
    if kind_of(frame.path) != "RAW":
        return None  # an edited rendering may be any part of the picture
    area = seen_in(region.area, (measured_in.width, measured_in.height), (frame.width, frame.height))
    return None if area is None else replace(region, area=area)


def _one_shape(one: Frame, other: Frame) -> bool:
    return abs(one.width * other.height / (one.height * other.width) - 1) <= SAME_SHAPE


def _stored_alike(one: Frame, other: Frame) -> bool:
    return one.orientation == other.orientation and _one_shape(one, other)


def kind_of(path: Path) -> str:
    """The kind of photo by its name; JPEG for a file without a known suffix, which a user named."""
    return PHOTO_KINDS.get(path.suffix.lower(), "JPEG")


def _file(photo: Photo) -> ExposureFile:
    frame = photo.frame
    return ExposureFile(frame.path, kind_of(frame.path), frame.capture.taken_at, frame.capture.serial)
