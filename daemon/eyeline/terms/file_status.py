"""The status of a file: what tells, without opening it, whether it is still the same."""

from __future__ import annotations

import os
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class FileStatus:
    """`size` in bytes; `mtime_ns` since the epoch; `inode` tells a replaced file from a kept one.

    Two are only ever compared for equality: no clock of this machine is held against `mtime_ns`, which
    another machine may have set. `device` does not count: its number changes from mount to mount.
    """

    size: int
    mtime_ns: int
    inode: int
    device: int = field(compare=False)

    @classmethod
    def of(cls, status: os.stat_result) -> FileStatus:
        """The status in the answer of os.stat."""
        return cls(status.st_size, status.st_mtime_ns, status.st_ino, status.st_dev)
