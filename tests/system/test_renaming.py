"""A name is given only where it is free, on file systems of every ability."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest

from eyeline.system import renaming
from eyeline.system.renaming import rename_if_free
from eyeline.system.whole_file import made_whole


def refused(*_: Any) -> None:
    """link(2) on FAT and exFAT, which know no hard links."""
    raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))


@pytest.fixture(params=["renames", "links", "neither"], autouse=True)
def knows(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the file system knows: a rename that replaces nothing, hard links, or neither."""
    if request.param != "renames":
        monkeypatch.setattr(renaming, "rename", lambda *_: errno.EINVAL)
    if request.param == "neither":
        monkeypatch.setattr(os, "link", refused)


def test_a_file_gets_a_free_name_and_keeps_no_other(tmp_path: Path) -> None:
    with made_whole(tmp_path / "a.jpg") as unnamed:
        unnamed.write_bytes(b"whole")
    assert [path.name for path in tmp_path.iterdir()] == ["a.jpg"]
    assert (tmp_path / "a.jpg").read_bytes() == b"whole"


def test_what_has_the_name_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(b"theirs")
    (tmp_path / "link").symlink_to("nowhere")
    for taken in ("a.jpg", "link"):
        (tmp_path / "ours").write_bytes(b"ours")
        with pytest.raises(FileExistsError):
            rename_if_free(tmp_path / "ours", tmp_path / taken)
        assert (tmp_path / "ours").read_bytes() == b"ours"
    assert (tmp_path / "a.jpg").read_bytes() == b"theirs" and (tmp_path / "link").is_symlink()
