"""A file is the old one or the new one, whole; nothing else stays behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from eyeline.system import whole_file
from eyeline.system.process import is_alive
from eyeline.system.whole_file import made_whole, write_whole

OLD, NEW = b"old", b"new" * 100_000


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_what_is_written_is_there_and_nothing_beside_it(tmp_path: Path) -> None:
    file = tmp_path / "[a]*.toml"
    write_whole(file, OLD)
    write_whole(file, NEW)
    assert file.read_bytes() == NEW and names(tmp_path) == [file.name]


def test_a_new_file_gets_its_rights_and_an_old_one_keeps_them(tmp_path: Path) -> None:
    umask = os.umask(0o022)
    try:
        write_whole(tmp_path / "usual", OLD)
        write_whole(tmp_path / "private", OLD, 0o600)
        (tmp_path / "kept").touch()
        (tmp_path / "kept").chmod(0o640)
        write_whole(tmp_path / "kept", NEW)
    finally:
        os.umask(umask)
    rights = {name: (tmp_path / name).stat().st_mode & 0o777 for name in ("usual", "private", "kept")}
    assert rights == {"usual": 0o644, "private": 0o600, "kept": 0o640}


def test_an_error_leaves_the_old_file_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "kept.toml"
    file.write_bytes(OLD)

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(file, NEW)
    assert file.read_bytes() == OLD and names(tmp_path) == [file.name]


def test_content_then_name_then_folder_reach_the_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The order that rename(2) and fsync(2) of POSIX.1-2017 ask for: a name never leads to half a file."""
    forced: list[tuple[str, list[str]]] = []
    real = os.fsync

    def watching(descriptor: int) -> None:
        name = Path(f"/proc/self/fd/{descriptor}").readlink().name
        forced.append((name, names(tmp_path)))
        real(descriptor)

    monkeypatch.setattr(os, "fsync", watching)
    write_whole(tmp_path / "a", NEW)
    hidden = f".a.{os.getpid()}.new"
    assert forced == [(hidden, [hidden]), (tmp_path.name, ["a"])]


def test_a_file_that_is_made_gets_its_name_only_when_it_is_complete(tmp_path: Path) -> None:
    with made_whole(tmp_path / "a") as unnamed:
        unnamed.write_bytes(OLD)
        assert names(tmp_path) == [unnamed.name] != ["a"]
    assert (tmp_path / "a").read_bytes() == OLD and names(tmp_path) == ["a"]
    with pytest.raises(FileExistsError), made_whole(tmp_path / "a") as unnamed:
        unnamed.write_bytes(NEW)
    with pytest.raises(ZeroDivisionError), made_whole(tmp_path / "b"):
        raise ZeroDivisionError
    assert (tmp_path / "a").read_bytes() == OLD and names(tmp_path) == ["a"]


KILLED = """
import sys, time
from pathlib import Path
from eyeline.system.whole_file import made_whole
with made_whole(Path(sys.argv[1])) as unnamed:
    print("half", flush=True)
    time.sleep(3600)
"""


def test_what_a_killed_process_left_is_taken_away_by_the_next_and_that_of_a_living_one_is_not(
    tmp_path: Path,
) -> None:
    file = tmp_path / "a"
    with subprocess.Popen([sys.executable, "-c", KILLED, file], stdout=subprocess.PIPE) as process:
        assert process.stdout is not None and process.stdout.readline()
        write_whole(file, OLD)
        assert len(names(tmp_path)) == 2
        process.send_signal(signal.SIGKILL)
    write_whole(file, NEW)
    assert names(tmp_path) == ["a"]


def test_a_process_lives_until_it_is_over() -> None:
    with subprocess.Popen(["sleep", "3600"]) as process:
        assert is_alive(process.pid)
        process.kill()
    assert not is_alive(process.pid)
    assert is_alive(os.getpid()) and is_alive(1) and not is_alive(2**40)


def test_a_folder_that_cannot_be_forced_onto_the_disk_is_no_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """fsync(2): EINVAL where the file system does not support it, as some network ones for folders."""
    real = whole_file.os.fsync

    def refusing(descriptor: int) -> None:
        if Path(f"/proc/self/fd/{descriptor}").is_dir():
            raise OSError(22, "Invalid argument")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", refusing)
    write_whole(tmp_path / "a", NEW)
    assert (tmp_path / "a").read_bytes() == NEW
