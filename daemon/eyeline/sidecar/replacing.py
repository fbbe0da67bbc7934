"""Files on disk: a sidecar read whole, a copy to work on, and the copy put in the sidecar's place.

Promise: at any moment the sidecar's name leads to the old file or the new one, whole. On Linux the two
are exchanged in one step (renameat2) and what was displaced is looked at: when another program had
written meanwhile, its version goes back and `Interrupted` is raised. Where the system or the file
system has no exchange, os.replace takes its place, and a change that falls into the microseconds between
the last look and the rename is lost. Two windows remain with the exchange: a program that reads in the
microseconds until its version is back sees ours, and one that opened the old file before and writes into
it (not by rename) after the look at what was displaced writes into a file without a name.
"""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import stat
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from eyeline.errors import UnsafeSidecar, printable
from eyeline.sidecar.naming import EXTENSION, TEMPORARY_PREFIX
from eyeline.sidecar.rdf_text import LARGEST_BYTES
from eyeline.system import renaming
from eyeline.system.process import is_alive

_ACCESS_LISTS = "system.posix_acl"
"""How the extended attributes begin in which Linux keeps access control lists (acl(5))."""

_NEW_FILE_MODE = 0o666
"""As any program creates files; the process's umask takes its share."""

_OLDEST_WORKING_COPY_S = 3600.0
"""Seconds; an edit takes milliseconds, and at most a few deadlines of ExifTool (30 s each)."""


class Interrupted(Exception):
    """Another program wrote the sidecar meanwhile; its version stands. Read and merge again."""


def read_whole(path: Path, largest: int = LARGEST_BYTES) -> bytes | None:
    """The bytes of a sidecar, None when it is not there.

    Raises UnsafeSidecar for what is no plain file, is write-protected or too large; OSError otherwise.
    """
    try:
        # Without O_NONBLOCK a named pipe would hold us until somebody writes into it.
        descriptor = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK | os.O_CLOEXEC)
    except FileNotFoundError:
        return None
    except OSError as error:
        if error.errno == errno.ELOOP:
            raise Interrupted from error  # became a link since it was located
        raise
    with open(descriptor, "rb") as file:
        status = os.fstat(descriptor)
        if not stat.S_ISREG(status.st_mode):
            raise UnsafeSidecar("It is not a plain file", path, "Move it away to get a sidecar")
        if not status.st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH):
            # A rename would replace it all the same; whoever took the write permission away meant it.
            raise UnsafeSidecar("It is write-protected", path, "Give it write permission, or leave it so")
        if status.st_size > largest:
            raise UnsafeSidecar(
                f"It has {status.st_size} bytes, more than {largest}", path, "It was left as it is"
            )
        return file.read(largest + 1)


@contextlib.contextmanager
def working_copy(target: Path, content: bytes) -> Iterator[Path]:
    """A hidden copy with `content` beside `target`, for its owner alone; gone at the end, come what may."""
    copy = target.parent / f"{TEMPORARY_PREFIX}{os.getpid()}-{secrets.token_hex(6)}{EXTENSION}"
    try:
        descriptor = os.open(copy, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, _NEW_FILE_MODE)
        with open(descriptor, "wb") as file:
            if target.exists():
                os.fchmod(descriptor, stat.S_IRUSR | stat.S_IWUSR)  # until `put_in_place`
            file.write(content)
        yield copy
    finally:
        for leftover in (copy, copy.with_name(copy.name + "_exiftool_tmp")):
            leftover.unlink(missing_ok=True)


def put_in_place(copy: Path, target: Path, before: bytes | None) -> None:
    """Flush `copy` and make it `target`, whose content was `before` (None: there was no such file).

    Owner, mode, access list and extended attributes are those of `target`. Raises Interrupted when `target`
    has changed meanwhile, UnsafeSidecar where these cannot be kept; then it is as that other program left it.
    """
    if before is not None:
        _copy_attributes(target, copy)
    _flush(copy)
    if before is None:
        _create(copy, target)
    else:
        _exchange(copy, target, before)
    _flush(target.parent)


def remove(target: Path, before: bytes) -> None:
    """Remove `target`, whose content was `before`. Raises Interrupted when it has changed meanwhile."""
    aside = target.parent / f"{TEMPORARY_PREFIX}{os.getpid()}-{secrets.token_hex(6)}{EXTENSION}"
    try:
        target.rename(aside)
    except FileNotFoundError:
        raise Interrupted from None
    if aside.read_bytes() != before:
        _create(aside, target)
        raise Interrupted
    aside.unlink()
    _flush(target.parent)


def remove_leftovers(folder: Path, now: datetime) -> list[Path]:
    """Remove the working copies that a killed eyeline left in `folder`; returns what was removed.

    A copy goes when the process named in it is no more, or when it is older than any edit may take
    (process ids are used again after a restart); those of living ones stay.
    """
    removed = []
    with os.scandir(folder) as entries:
        names = [entry.name for entry in entries if entry.name.startswith(TEMPORARY_PREFIX)]
    for name in names:
        number, separator, _ = name.removeprefix(TEMPORARY_PREFIX).partition("-")
        if not (separator and number.isascii() and number.isdigit()):
            continue  # not named by us
        leftover = folder / name
        with contextlib.suppress(FileNotFoundError):
            age_s = now.timestamp() - leftover.lstat().st_mtime
            if age_s > _OLDEST_WORKING_COPY_S or not is_alive(int(number)):
                leftover.unlink()
                removed.append(leftover)
    return removed


def _copy_attributes(source: Path, copy: Path) -> None:
    """Give `copy` all that `source` has beside its content: labels and rights that people gave to it."""
    try:
        status = source.stat()
    except FileNotFoundError:
        raise Interrupted from None
    with contextlib.suppress(PermissionError):  # only root may give files away
        os.chown(copy, status.st_uid, status.st_gid)
    names = os.listxattr(source) if hasattr(os, "listxattr") else []
    # With an access list the group's bits of the mode are the list's mask (acl(5)): without the list they
    # would give the group what the list gives to others, so the list comes first or nothing does.
    for name in sorted(names, key=lambda name: not name.startswith(_ACCESS_LISTS)):
        try:
            os.setxattr(copy, name, os.getxattr(source, name))
        except OSError as error:
            if error.errno == errno.ENODATA:  # taken away meanwhile
                continue
            if name.startswith((_ACCESS_LISTS, "user.")):
                raise UnsafeSidecar(
                    f"Its attribute {printable(name)} cannot be kept ({error.strerror})",
                    source,
                    "It was left as it is; copy it anew to be rid of the attribute",
                ) from error
    copy.chmod(stat.S_IMODE(status.st_mode))


def _create(copy: Path, target: Path) -> None:
    """Rename `copy` to `target` unless that name is taken."""
    try:
        renaming.rename_if_free(copy, target)
    except FileExistsError:
        raise Interrupted from None


def _exchange(copy: Path, target: Path, before: bytes) -> None:
    # Looked at first, so that a version merged from an older one hardly ever shows, even for a moment.
    if read_whole(target, max(LARGEST_BYTES, len(before))) != before:
        raise Interrupted
    placed = copy.read_bytes()
    outcome = renaming.rename(copy, target, renaming.EXCHANGE)
    if outcome in renaming.UNSUPPORTED:
        copy.replace(target)
        return
    if outcome == errno.ENOENT:
        raise Interrupted  # the sidecar was deleted or moved away
    if outcome != 0:
        raise OSError(outcome, os.strerror(outcome), str(target))
    displaced = copy.read_bytes()
    if displaced == before:
        return
    # Somebody wrote meanwhile. Their version goes back; should it, too, displace something newer than
    # what was put there a moment ago, that goes back in turn.
    while True:
        newest = displaced
        renaming.rename(copy, target, renaming.EXCHANGE)
        displaced = copy.read_bytes()
        if displaced == placed:
            raise Interrupted
        placed = newest


def _flush(path: Path) -> None:
    descriptor = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno != errno.EINVAL:  # some network folders cannot flush a folder
            raise
    finally:
        os.close(descriptor)
