"""Photos that are judged together: those of one folder and of its folders for kinds of files."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from eyeline.intake.catch_up import Candidate
from eyeline.intake.obstacle import Obstacle
from eyeline.sitting.exposures import KIND_FOLDERS, home
from eyeline.terms.file_status import FileStatus


@dataclass(frozen=True, slots=True, eq=False)
class Shoot:
    """The photos that lie in the folder `home` or in a folder for a kind of files below it, with their status
    when they were found, in natural order."""

    home: Path
    photos: Mapping[Path, FileStatus]

    @property
    def folders(self) -> tuple[Path, ...]:
        """The folders that its photos lie in."""
        return tuple(dict.fromkeys(path.parent for path in self.photos))


def shoots(found: Iterable[Candidate | Obstacle], paths: Iterable[Path]) -> Iterator[Shoot | Obstacle]:
    """Group the photos of a walk through the trees at `paths`; problems pass through.

    `found`: files of a folder before its subfolders, as `catch_up` yields them. A shoot comes as soon as the
    walk has left its folders; where several of `paths` may lie in one shoot, all come in the end.
    """
    homes = [home(path.resolve() if path.is_dir() else path.resolve().parent) for path in paths]
    in_the_end = len(set(homes)) < len(homes)
    under_way: dict[Path, dict[Path, FileStatus]] = {}
    folder = None
    for each in found:
        if isinstance(each, Obstacle):
            yield each
            continue
        if folder is not None and each.path.parent != folder and not in_the_end:
            for left in [place for place in under_way if _is_left(place, folder, each.path.parent)]:
                yield Shoot(left, under_way.pop(left))
        folder = each.path.parent
        under_way.setdefault(Path(home(folder)), {})[each.path] = each.status
    for place, photos in under_way.items():
        yield Shoot(place, photos)


def folders_of(place: Path) -> list[Path]:
    """`place` and the folders for kinds of files in it, by name."""
    try:
        with os.scandir(place) as entries:
            kinds = sorted(
                entry.name
                for entry in entries
                if entry.name.casefold() in KIND_FOLDERS and entry.is_dir(follow_symlinks=False)
            )
    except OSError:
        kinds = []
    return [place, *(place / name for name in kinds)]


def _is_left(place: Path, folder: Path, following: Path) -> bool:
    """Whether a walk that goes from `folder` to `following` meets no more photos of the shoot at `place`."""
    if place != following and place not in following.parents:
        return True
    return place == folder and len(folders_of(place)) == 1
