"""What is watched: the folders and single files that the user named, each part of a tree once."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from eyeline.intake.names import why_folder_ignored


def resolved(path: Path) -> Path:
    """`path`, absolute and without symbolic links; it need not exist."""
    try:
        return Path(os.path.realpath(path))
    except ValueError:  # a NUL in the name: nothing of that name exists
        return path.absolute()


def outermost(paths: Iterable[Path]) -> tuple[Path, ...]:
    """`paths`, resolved, without those that another one covers.

    A path is covered by a watched folder above it, unless a folder in between is one that is not
    entered: whoever names a hidden folder wants it. Order is kept; nothing needs to exist.
    """
    real = list(dict.fromkeys(map(resolved, paths)))
    return tuple(path for path in real if not any(_covers(other, path) for other in real))


def root_of(path: Path, roots: Iterable[Path]) -> Path | None:
    """The innermost of `roots` that `path` is or lies in, or None."""
    inside = [root for root in roots if path == root or root in path.parents]
    return max(inside, key=lambda root: len(root.parts), default=None)


def _covers(folder: Path, path: Path) -> bool:
    if folder not in path.parents:
        return False
    between = path.relative_to(folder).parts
    # A single file may be named although it is hidden, so its own name is judged like a folder's.
    return not any(map(why_folder_ignored, between))
