"""The status of a file, asked for without opening it."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from eyeline.terms.file_status import FileStatus


def status_of(path: Path) -> FileStatus | None:
    """The status of the regular file `path`; None if it is not there, out of reach, or no such file.

    A symbolic link is not followed: its target is looked at where it lies, if that is watched.
    """
    try:
        status = os.lstat(path)
    except (OSError, ValueError):  # ValueError: a NUL in the name
        return None
    return FileStatus.of(status) if stat.S_ISREG(status.st_mode) else None
