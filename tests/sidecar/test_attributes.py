"""What a sidecar has beside its content is kept: labels that people gave to the file, and who may read it."""

from __future__ import annotations

import errno
import os
import stat
import struct
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.sidecar.naming import Naming
from eyeline.sidecar.outcome import Result
from tests.sidecar.examples import edit, names, take_back, write

pytestmark = pytest.mark.skipif(
    not hasattr(os, "listxattr"), reason="left out: this system has no such calls"
)

LABELS = {"user.label": b"red", "user.com.apple.metadata:_kMDItemUserTags": b"bplist00\xa1\x01"}


def access_list(*entries: tuple[int, int, int]) -> bytes:
    """A list as Linux keeps it, from (tag, permissions, id).

    Layout: linux/posix_acl_xattr.h: version 2, then for each entry two 16-bit numbers and one of 32 bits, all
    little-endian.
    """
    return struct.pack("<I", 2) + b"".join(struct.pack("<HHI", *entry) for entry in entries)


# Tags: linux/posix_acl.h. The owner reads and writes, user 1234 reads, the group may nothing, mask: both.
OWNER, USER, GROUP, MASK, OTHER = 0x01, 0x02, 0x04, 0x10, 0x20
NOBODY = 0xFFFFFFFF
PRIVATE = access_list(
    (OWNER, 6, NOBODY), (USER, 4, 1234), (GROUP, 0, NOBODY), (MASK, 6, NOBODY), (OTHER, 0, NOBODY)
)


def attributes(path: Path) -> dict[str, bytes]:
    return {name: os.getxattr(path, name) for name in os.listxattr(path)}


def give(path: Path, attributes: dict[str, bytes]) -> None:
    try:
        for name, value in attributes.items():
            os.setxattr(path, name, value)
    except OSError as error:
        if error.errno in (errno.EOPNOTSUPP, errno.EPERM):
            pytest.skip("left out: this file system keeps no such attributes")
        raise


@pytest.mark.parametrize("embedded", [False, True], ids=["sidecar", "JPEG"])
def test_labels_access_list_and_mode_are_as_before(exiftool: ExifTool, photo: Path, embedded: bool) -> None:
    carrier = photo if embedded else photo.with_suffix(".xmp")
    naming = Naming.EMBED if embedded else Naming.REPLACE
    if not embedded:
        edit(carrier, "-XMP-dc:Subject=client")
    carrier.chmod(0o640)
    give(carrier, {**LABELS, "system.posix_acl_access": PRIVATE})
    before, mode = attributes(carrier), stat.S_IMODE(carrier.stat().st_mode)
    outcome = write(exiftool, photo, naming=naming)
    assert outcome.result is Result.WRITTEN, outcome.sentence
    assert (attributes(carrier), stat.S_IMODE(carrier.stat().st_mode)) == (before, mode)
    if not embedded:
        assert take_back(exiftool, photo, outcome.written).result is Result.WRITTEN
        assert (attributes(carrier), stat.S_IMODE(carrier.stat().st_mode)) == (before, mode)


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o666])
def test_a_mode_is_kept_and_never_wider_in_between(
    exiftool: ExifTool, photo: Path, mode: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    sidecar = photo.with_suffix(".xmp")
    edit(sidecar, "-XMP-dc:Subject=client")
    sidecar.chmod(mode)
    seen: list[int] = []
    fsync = os.fsync

    def watched(descriptor: int) -> None:
        status = os.fstat(descriptor)
        if stat.S_ISREG(status.st_mode):
            seen.append(stat.S_IMODE(status.st_mode))
        fsync(descriptor)

    monkeypatch.setattr(os, "fsync", watched)
    assert write(exiftool, photo).result is Result.WRITTEN
    assert stat.S_IMODE(sidecar.stat().st_mode) == mode
    assert seen and all(found & ~mode == 0 for found in seen)


def test_what_cannot_be_kept_is_not_written(
    exiftool: ExifTool, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    sidecar = photo.with_suffix(".xmp")
    edit(sidecar, "-XMP-dc:Subject=client")
    give(sidecar, LABELS)
    content = sidecar.read_bytes()
    monkeypatch.setattr(os, "setxattr", refuse)
    outcome = write(exiftool, photo)
    assert outcome.result is Result.REFUSED
    assert "user." in outcome.sentence
    assert sidecar.read_bytes() == content
    assert names(photo.parent) == ["IMG_1.jpg", "IMG_1.xmp"]
