"""Which folders of a tree the kernel watches for this process: Linux's limit is met without a word.

Source: proc_pid_fdinfo(5): each inotify instance lists its watches, inode in hexadecimal.
"""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path

from eyeline.intake.names import why_folder_ignored

_FDINFO = Path("/proc/self/fdinfo")
_WATCHED_INODE = re.compile(r"^inotify wd:\S+ ino:([0-9a-f]+)", re.MULTILINE)


def unwatched_folders(root: Path) -> tuple[Path, ...]:
    """The folders at and below `root` that can be read but are not watched; none where that is unknown."""
    watched: set[int] = set()
    try:
        descriptors = list(_FDINFO.iterdir())
    except OSError:
        return ()
    for descriptor in descriptors:
        with suppress(OSError):  # closed meanwhile
            watched.update(int(inode, 16) for inode in _WATCHED_INODE.findall(descriptor.read_text()))
    missing = []
    for folder, subfolders, _ in os.walk(root):  # names only those that it could list
        subfolders[:] = [name for name in subfolders if why_folder_ignored(name) is None]
        with suppress(OSError):
            # By inode alone: some file systems tell fdinfo another device number than stat().
            if Path(folder).stat().st_ino not in watched:
                missing.append(Path(folder))
    return tuple(missing)
