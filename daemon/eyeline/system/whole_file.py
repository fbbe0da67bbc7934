"""Files that are there whole or not at all, also after a power failure.

They are written under a hidden name beside their own (`.NAME.PROCESS.new`), forced onto the disk, and only
then given their name; the folder is forced onto the disk last, since it holds the name (fsync(2), rename(2)).
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from glob import escape
from pathlib import Path

from eyeline.system.process import is_alive

_ENDING = ".new"
_USUAL = 0o666  # less what the user's umask takes away


def write_whole(path: Path, content: bytes, mode: int = _USUAL) -> None:
    """Have `content` at `path`, in place of what is there. Raises OSError; then all is as it was.

    `mode`: rights of a new file, less the umask; one that is replaced keeps its own.
    """
    with suppress(FileNotFoundError):
        mode = stat.S_IMODE(path.stat().st_mode)
    with _unnamed(path, mode) as unnamed:
        unnamed.write_bytes(content)
        _force(unnamed)
        unnamed.replace(path)
    _force(path.parent)


def write_swiftly(path: Path, content: bytes, mode: int = _USUAL) -> None:
    """Have `content` at `path`, whole or not at all while the machine keeps running. Raises OSError.

    Nothing is forced onto the disk, which takes longer than drawing a picture: for what can be made again.
    After a power failure a file may be there in part.
    """
    unnamed = path.with_name(f".{path.name}.{os.getpid()}{_ENDING}")
    try:
        with open(os.open(unnamed, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, mode), "wb") as file:
            file.write(content)
        unnamed.replace(path)
    except BaseException:
        with suppress(OSError):
            unnamed.unlink()
        raise


@contextmanager
def made_whole(path: Path, mode: int = _USUAL) -> Iterator[Path]:
    """An empty file to be filled, which gets the name `path` afterwards, where no exception ends it.

    Raises FileExistsError in the end where `path` is there by then: it is not touched. Raises OSError.
    """
    with _unnamed(path, mode) as unnamed:
        yield unnamed
        _force(unnamed)
        os.link(unnamed, path)
    _force(path.parent)


@contextmanager
def _unnamed(path: Path, mode: int) -> Iterator[Path]:
    """A new file beside `path` that is gone in the end; those of processes that died over it go as well."""
    for other in path.parent.glob(f".{escape(path.name)}.*{_ENDING}"):
        number = other.name[len(path.name) + 2 : -len(_ENDING)]
        if number.isascii() and number.isdigit() and not is_alive(int(number)):
            other.unlink(missing_ok=True)
    unnamed = path.with_name(f".{path.name}.{os.getpid()}{_ENDING}")
    unnamed.unlink(missing_ok=True)
    try:
        os.close(os.open(unnamed, os.O_CREAT | os.O_EXCL | os.O_WRONLY, mode))
        yield unnamed
    finally:
        unnamed.unlink(missing_ok=True)


def _force(path: Path) -> None:
    """Have a file or folder on the disk. File systems that cannot do it for folders do it by themselves."""
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError:
        if not path.is_dir():
            raise
    finally:
        os.close(descriptor)
