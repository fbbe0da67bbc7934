"""A file renamed to a name that is free, or exchanged with another, in one step where the system can."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from pathlib import Path

_AT_FDCWD = -100  # linux/fcntl.h
NO_REPLACE, EXCHANGE = 1, 2  # linux/fs.h
UNSUPPORTED = (errno.EINVAL, errno.ENOSYS, errno.EOPNOTSUPP, errno.EPERM)
"""errno of a flag or hard link that the file system does not know (FAT and exFAT disks, network folders)."""


def rename(source: Path, target: Path, flag: int) -> int:
    """renameat2(2) with `flag`; returns 0 or the errno, ENOSYS where there is no such call."""
    if not sys.platform.startswith("linux"):
        return errno.ENOSYS
    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except AttributeError:
        return errno.ENOSYS
    failed = renameat2(
        ctypes.c_int(_AT_FDCWD),
        ctypes.c_char_p(os.fsencode(source)),
        ctypes.c_int(_AT_FDCWD),
        ctypes.c_char_p(os.fsencode(target)),
        ctypes.c_uint(flag),
    )
    return ctypes.get_errno() if failed else 0


def rename_if_free(source: Path, target: Path) -> None:
    """Rename `source` to `target` unless that name is taken. Raises FileExistsError where it is, OSError.

    On a file system that knows neither such a rename nor hard links, who takes the name in the microseconds
    between a look and the rename is replaced.
    """
    outcome = rename(source, target, NO_REPLACE)
    if outcome == 0:
        return
    if outcome not in UNSUPPORTED:
        raise OSError(outcome, os.strerror(outcome), str(target))
    try:
        os.link(source, target)  # fails when the name is taken
    except OSError as error:
        if error.errno not in UNSUPPORTED:
            raise
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from error
        source.rename(target)
    else:
        source.unlink()
