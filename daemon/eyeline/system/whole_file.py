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
from eyeline.system.renaming import rename_if_free

_ENDING = ".new"
_USUAL = 0o666  # less what the user's umask takes away


def write_whole(path: Path, content: bytes, mode: int = _USUAL) -> None:
    """Have `content` at `path`, in place of what is there. Raises OSError; then all is as it was.

    `mode`: rights of a new file, less the umask; one that is replaced keeps its own.
    """
    unnamed = hold(path, content, mode)
    try:
        give_name(unnamed, path, replaces=True)
    except BaseException:
        unnamed.unlink(missing_ok=True)
        raise


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
def made_whole(path: Path, mode: int = _USUAL, replaces: bool = False) -> Iterator[Path]:
    """An empty file to be filled, which gets the name `path` afterwards, where no exception ends it.

    Raises FileExistsError in the end where `path` is there by then, unless it `replaces` that; OSError.
    """
    with _unnamed(path, mode) as unnamed:
        yield unnamed
        _force(unnamed)
        give_name(unnamed, path, replaces)


def hold(path: Path, content: bytes, mode: int = _USUAL) -> Path:
    """Have `content` on the disk, whole, beside `path` under a hidden name, which is returned.

    Either `give_name` gives it a name, or the caller removes it. Raises OSError.
    """
    with suppress(FileNotFoundError):
        mode = stat.S_IMODE(path.stat().st_mode)
    unnamed = _begin(path, mode)
    try:
        unnamed.write_bytes(content)
        _force(unnamed)
    except BaseException:
        unnamed.unlink(missing_ok=True)
        raise
    return unnamed


def give_name(unnamed: Path, path: Path, replaces: bool) -> None:
    """Give what is held the name `path`, in place of what is there only where it `replaces` that.

    Raises FileExistsError where something is there that it does not replace, OSError.
    """
    if replaces:
        unnamed.replace(path)
    else:
        rename_if_free(unnamed, path)
    _force(path.parent)


@contextmanager
def _unnamed(path: Path, mode: int) -> Iterator[Path]:
    """A new file beside `path` that is gone in the end."""
    unnamed = _begin(path, mode)
    try:
        yield unnamed
    finally:
        unnamed.unlink(missing_ok=True)


def _begin(path: Path, mode: int) -> Path:
    """An empty file under the hidden name of `path`; those of processes that died over it go."""
    for other in path.parent.glob(f".{escape(path.name)}.*{_ENDING}"):
        number = other.name[len(path.name) + 2 : -len(_ENDING)]
        if number.isascii() and number.isdigit() and not is_alive(int(number)):
            other.unlink(missing_ok=True)
    unnamed = path.with_name(f".{path.name}.{os.getpid()}{_ENDING}")
    unnamed.unlink(missing_ok=True)
    os.close(os.open(unnamed, os.O_CREAT | os.O_EXCL | os.O_WRONLY, mode))
    return unnamed


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
