"""An obstacle met on the way in: reported and passed by, never raised."""

from __future__ import annotations

import errno
import os
from dataclasses import dataclass
from pathlib import Path

from eyeline.errors import EyelineError

# What to do, by the system's error number (errno(3)).
_CURES = {
    errno.EACCES: "Give the user that runs eyeline the right to read it and to enter its folder",
    errno.EPERM: "Give the user that runs eyeline the right to read it and to enter its folder",
    errno.EMFILE: "Raise the limit of open files (ulimit -n), or watch fewer folders",
    errno.ENFILE: "Close other programs, or raise the system's limit of open files (fs.file-max)",
    errno.ENAMETOOLONG: "Shorten the names of its folders, or watch a folder further down",
    errno.ESTALE: "Mount the network folder again",
    errno.EIO: "Check the disk or card and its connection",
}


@dataclass(frozen=True, slots=True)
class Obstacle:
    """`what` is wrong with `path`, and its `cure`; both without a full stop, as in `EyelineError`."""

    path: Path
    what: str
    cure: str

    def __str__(self) -> str:
        return str(EyelineError(self.what, self.path, self.cure))


def obstacle_of(error: OSError, path: Path, doing: str) -> Obstacle:
    """The `Obstacle` for an operating system's `error` met while `doing` (`cannot be listed`) at `path`."""
    reason = os.strerror(error.errno) if error.errno else str(error)
    cure = _CURES.get(error.errno or 0, "Check that its disk is connected and readable")
    return Obstacle(path, f"{doing}: {reason}", cure)
