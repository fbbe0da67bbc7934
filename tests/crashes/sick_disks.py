"""Folders on disks that are full, read-only or silent. All of it needs root, or rather the right to mount."""

from __future__ import annotations

import ctypes
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

_MS_RDONLY, _MS_REMOUNT = 1, 32  # linux/mount.h
_MNT_FORCE, _MNT_DETACH = 1, 2
_PAGE = 4096

_libc = ctypes.CDLL(None, use_errno=True)


def mount(source: str, target: Path, kind: str, flags: int = 0, options: str = "") -> None:
    """mount(2); the test is skipped, with the reason, where that is not allowed."""
    if _libc.mount(source.encode(), os.fsencode(target), kind.encode(), flags, options.encode()):
        pytest.skip(f"a {kind} cannot be mounted here: {os.strerror(ctypes.get_errno())}")


def unmount(target: Path) -> None:
    _libc.umount2(os.fsencode(target), _MNT_FORCE | _MNT_DETACH)


@contextmanager
def small_disk(target: Path, kibibytes: int) -> Iterator[Path]:
    """A disk of its own at `target`."""
    target.mkdir(parents=True)
    mount("tmpfs", target, "tmpfs", options=f"size={kibibytes}k")
    try:
        yield target
    finally:
        unmount(target)


def set_read_only(disk: Path, is_read_only: bool) -> None:
    mount("tmpfs", disk, "tmpfs", _MS_REMOUNT | (_MS_RDONLY if is_read_only else 0))


def fill(disk: Path, leave_bytes: int = 0) -> Path:
    """Fill `disk` with one file, which is returned, but for whole pages that hold `leave_bytes`."""
    filler = disk / "filler.bin"
    with filler.open("wb", buffering=0) as file, suppress(OSError):
        while file.write(bytes(_PAGE)) == _PAGE:
            pass
    os.truncate(filler, filler.stat().st_size - (leave_bytes + _PAGE - 1) // _PAGE * _PAGE)
    return filler


class SilentFolder:
    """Lays a network folder whose server never says a word over `target`: a FUSE file system that nobody
    serves. Whoever touches it waits until `ends`.
    """

    def __init__(self, target: Path) -> None:
        self._target = target
        try:
            self._server: int | None = os.open("/dev/fuse", os.O_RDWR)
        except OSError as error:
            pytest.skip(f"there is no FUSE here: {error.strerror}")
        options = f"fd={self._server},rootmode=40000,user_id={os.getuid()},group_id={os.getgid()}"
        mount("silent", target, "fuse", options=options)

    def breaks(self) -> None:
        """The server is gone for good: whoever touches the folder gets an error at once."""
        if self._server is not None:
            os.close(self._server)
            self._server = None

    def ends(self) -> None:
        """The folder is as it was before; who waited gets an error."""
        unmount(self._target)
        self.breaks()
