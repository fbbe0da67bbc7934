"""A look at a file from outside: what its status tells, without opening it."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Look:
    """`size` in bytes; `mtime_ns` since the epoch; `inode` and `device` tell a replaced file from a kept one.

    Looks are only ever compared for equality: no clock of this machine is held against `mtime_ns`,
    which another machine may have set.
    """

    size: int
    mtime_ns: int
    inode: int
    device: int

    @staticmethod
    def of(status: os.stat_result) -> Look:
        """The look that a `status` gives."""
        return Look(status.st_size, status.st_mtime_ns, status.st_ino, status.st_dev)


def look_at(path: Path) -> Look | None:
    """A look at the regular file `path`; None if it is not there (any more), out of reach, or no such file.

    A symbolic link is not followed: its target is looked at where it lies, if that is watched.
    """
    try:
        status = os.lstat(path)
    except (OSError, ValueError):  # ValueError: a NUL in the name
        return None
    return Look.of(status) if stat.S_ISREG(status.st_mode) else None
