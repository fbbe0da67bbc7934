"""A folder in which reading one file fails in the middle, as on a disk with a bad sector.

A FUSE file system served by a thread of this process: what lies in another folder, to be read only. Requests
and answers are those of linux/fuse.h, protocol 7.31; whatever it does not know is answered by ENOSYS.
"""

from __future__ import annotations

import errno
import os
import stat
import struct
from contextlib import suppress
from enum import IntEnum
from pathlib import Path
from threading import Thread

import pytest

from tests.crashes.sick_disks import mount, unmount
from tests.waiting import PATIENCE_SECONDS

_IN, _OUT = struct.Struct("<IIQQIIIHH"), struct.Struct("<IiQ")
_ATTRIBUTES = struct.Struct("<6Q10I")
_ROOT = 1
_LARGEST_REQUEST, _LARGEST_WRITE = 1 << 17, 1 << 16
"""A request holds what is written and some words about it; nothing is ever written here."""


_UNCACHED = 1
"""FOPEN_DIRECT_IO: readers get what is there before the bad place, then the error, as from a disk."""


class Kind(IntEnum):
    """What the kernel asks for (enum fuse_opcode)."""

    LOOKUP = 1
    FORGET = 2
    GETATTR = 3
    OPEN = 14
    READ = 15
    RELEASE = 18
    FLUSH = 25
    INIT = 26
    OPENDIR = 27
    READDIR = 28
    RELEASEDIR = 29
    INTERRUPT = 36
    BATCH_FORGET = 42


_UNANSWERED = (Kind.FORGET, Kind.INTERRUPT, Kind.BATCH_FORGET)


class FailingReads:
    """Lays the files of `source` over `target`; `broken` cannot be read from byte `from_byte` on."""

    def __init__(self, source: Path, target: Path, broken: str, from_byte: int) -> None:
        self._source, self._target = source, target
        self._broken, self._from_byte = broken, from_byte
        self._names = sorted(path.name for path in source.iterdir())
        try:
            self._server = os.open("/dev/fuse", os.O_RDWR)
        except OSError as error:
            pytest.skip(f"there is no FUSE here: {error.strerror}")
        options = f"fd={self._server},rootmode=40000,user_id={os.getuid()},group_id={os.getgid()}"
        mount("failing", target, "fuse", options=options)
        self._thread = Thread(target=self._serve, daemon=True)
        self._thread.start()

    def ends(self) -> None:
        """The folder is as it was before."""
        unmount(self._target)
        self._thread.join(PATIENCE_SECONDS)
        os.close(self._server)

    def _serve(self) -> None:
        with suppress(OSError):  # ENODEV: it is not mounted any more
            while True:
                request = os.read(self._server, _LARGEST_REQUEST)
                _, kind, unique, node, *_ = _IN.unpack_from(request)
                if kind in _UNANSWERED:
                    continue
                try:
                    answer, error = self._answer(kind, node, request[_IN.size :]), 0
                except OSError as failed:
                    answer, error = b"", -(failed.errno or errno.EIO)
                os.write(self._server, _OUT.pack(_OUT.size + len(answer), error, unique) + answer)

    def _answer(self, kind: int, node: int, body: bytes) -> bytes:
        match kind:
            case Kind.INIT:
                return struct.pack("<4I2H2I2H8I", 7, 31, 0, 0, 8, 6, _LARGEST_WRITE, 1, 32, 0, *[0] * 8)
            case Kind.LOOKUP:
                name = os.fsdecode(body.rstrip(b"\0"))
                if name not in self._names:
                    raise FileNotFoundError(errno.ENOENT, name)
                found = self._names.index(name) + _ROOT + 1
                return struct.pack("<4Q2I", found, 0, 0, 0, 0, 0) + self._attributes(found)
            case Kind.GETATTR:
                return struct.pack("<Q2I", 0, 0, 0) + self._attributes(node)
            case Kind.OPEN | Kind.OPENDIR:
                return struct.pack("<Q2I", 0, _UNCACHED if kind == Kind.OPEN else 0, 0)
            case Kind.READ:
                _, offset, size = struct.unpack_from("<2QI", body)
                return self._read(self._path(node), offset, size)
            case Kind.READDIR:
                _, offset, size = struct.unpack_from("<2QI", body)
                return self._listed(offset, size)
            case Kind.RELEASE | Kind.FLUSH | Kind.RELEASEDIR:
                return b""
        raise OSError(errno.ENOSYS, "not known here")

    def _path(self, node: int) -> Path:
        return self._source if node == _ROOT else self._source / self._names[node - _ROOT - 1]

    def _attributes(self, node: int) -> bytes:
        found = self._path(node).stat()
        seconds, rest = divmod(found.st_mtime_ns, 10**9)
        links = 2 if stat.S_ISDIR(found.st_mode) else 1
        return _ATTRIBUTES.pack(
            *(node, found.st_size, found.st_blocks, seconds, seconds, seconds, rest, rest, rest),
            *(found.st_mode, links, found.st_uid, found.st_gid, 0, 4096, 0),
        )

    def _read(self, path: Path, offset: int, size: int) -> bytes:
        if path.name == self._broken and offset + size > self._from_byte:
            size = self._from_byte - offset
            if size <= 0:
                raise OSError(errno.EIO, "a bad sector")
        with path.open("rb") as file:
            file.seek(offset)
            return file.read(size)

    def _listed(self, offset: int, size: int) -> bytes:
        found = b""
        for number, name in enumerate(self._names[offset:], offset + 1):
            text = os.fsencode(name)
            entry = struct.pack("<2Q2I", number + _ROOT, number, len(text), stat.S_IFREG >> 12) + text
            entry += bytes(-len(entry) % 8)
            if len(found) + len(entry) > size:
                break
            found += entry
        return found
