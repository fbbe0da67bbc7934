"""Processes of this machine."""

from __future__ import annotations

import os


def is_alive(process: int) -> bool:
    """Whether a process with this id runs here, whosever it is. Ids are given again after a while."""
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True
