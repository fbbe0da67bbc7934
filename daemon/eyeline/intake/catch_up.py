"""What lies in the watched trees already: every photo once, in the order a person would list them."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from eyeline.intake.names import PHOTO_KINDS, photo_kind, why_folder_ignored
from eyeline.intake.obstacle import Obstacle, obstacle_of
from eyeline.intake.roots import outermost, resolved
from eyeline.terms.file_status import FileStatus

_DIGITS = re.compile(r"([0-9]+)")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A file that is named as a photo: its absolute `path` without symbolic links, and its status."""

    path: Path
    status: FileStatus


def natural_key(name: str) -> tuple[list[tuple[int, str]], str]:
    """Sorts names as people count: IMG_9 before IMG_10, upper and lower case alike."""
    runs = enumerate(_DIGITS.split(name.casefold()))  # text and digits by turns
    return [(int(run), "") if place % 2 else (-1, run) for place, run in runs], name


def catch_up(paths: Iterable[Path]) -> Iterator[Candidate | Obstacle]:
    """Walk the trees at `paths` (folders, or single photos) and yield photos, or what stood in the way.

    Symbolic links are never followed. A link to a photo or folder within what is watched is passed
    over, since its target is met where it lies; one that leads elsewhere is a Obstacle. Overlapping
    paths yield each photo once; hard links are files of their own. Files of a folder come before its
    subfolders, each in natural order. What vanishes during the walk is not mentioned. Raises nothing.
    """
    named = tuple(dict.fromkeys(map(resolved, paths)))
    roots = outermost(named)
    # By identity, so that a folder mounted or named twice is entered once.
    entered: set[tuple[int, int]] = set()
    for root in named:
        try:
            status = root.stat()
        except (OSError, ValueError):  # ValueError: a NUL in the name
            yield Obstacle(root, "this path is not there", "Correct its name, connect its disk, or create it")
            continue
        if root not in roots:
            continue
        if stat.S_ISDIR(status.st_mode):
            yield from _walk(root, status, roots, entered)
        elif not stat.S_ISREG(status.st_mode):
            yield _not_regular(root)
        elif root.suffix.lower() not in PHOTO_KINDS:
            known = " ".join(PHOTO_KINDS)
            yield Obstacle(root, "this is not a kind of photo that eyeline reads", f"It reads {known}")
        else:
            yield Candidate(root, FileStatus.of(status))


def _walk(
    root: Path, status: os.stat_result, roots: tuple[Path, ...], entered: set[tuple[int, int]]
) -> Iterator[Candidate | Obstacle]:
    waiting = [(root, (status.st_dev, status.st_ino))]
    while waiting:
        folder, identity = waiting.pop()
        if identity in entered:
            continue
        entered.add(identity)
        try:
            with os.scandir(folder) as listing:
                entries = sorted(listing, key=lambda entry: natural_key(entry.name))
        except (FileNotFoundError, NotADirectoryError):
            continue
        except OSError as error:
            yield obstacle_of(error, folder, "this folder cannot be listed")
            continue
        subfolders = []
        for entry in entries:
            path = folder / entry.name
            try:
                if entry.is_symlink():
                    if (problem := _stray_link(path, roots)) is not None:
                        yield problem
                elif entry.is_dir(follow_symlinks=False):
                    if why_folder_ignored(entry.name) is None:
                        inside = entry.stat(follow_symlinks=False)
                        subfolders.append((path, (inside.st_dev, inside.st_ino)))
                elif photo_kind(entry.name) is None:
                    continue
                elif entry.is_file(follow_symlinks=False):
                    yield Candidate(path, FileStatus.of(entry.stat(follow_symlinks=False)))
                else:
                    yield _not_regular(path)
            except FileNotFoundError:
                continue
            except PermissionError as error:  # the folder may be listed, not entered: true of all in it
                yield obstacle_of(error, folder, "this folder cannot be entered")
                subfolders.clear()
                break
            except OSError as error:
                yield obstacle_of(error, path, "this file cannot be looked at")
        waiting.extend(reversed(subfolders))


def _stray_link(path: Path, roots: tuple[Path, ...]) -> Obstacle | None:
    """What is wrong with the symbolic link at `path`, if it could have brought photos."""
    if photo_kind(path.name) is None and not _is_wanted_folder(path):
        return None
    target = Path(os.path.realpath(path))
    if not os.path.lexists(target) or target.is_symlink():
        return Obstacle(path, "this symbolic link leads nowhere", "Remove it or mend it")
    if any(target == root or root in target.parents for root in roots):
        return None
    return Obstacle(
        path,
        "this symbolic link leads out of the watched folders and is not followed",
        "Watch the folder that it leads to as well",
    )


def _is_wanted_folder(path: Path) -> bool:
    try:
        return why_folder_ignored(path.name) is None and path.is_dir()
    except OSError:
        return False


def _not_regular(path: Path) -> Obstacle:
    return Obstacle(
        path, "this is named as a photo but is a pipe, socket or device", "Rename it or move it elsewhere"
    )
