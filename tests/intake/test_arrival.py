"""The parts of the room together, with real writers at work: each photo is handed over once, and whole.

Real files, threads, child processes and inotify; the clock goes on only while all of them wait for it. What
is asserted is the content at the moment of the hand-over, never how long it took.
"""

from __future__ import annotations

import hashlib
import os
import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from tests.intake.desk import QUIET_S, Desk

PAUSE_S = 0.05  # of a writer between two chunks: an eighth of the shorter quiet time

Sleep = Callable[[float], None]

PHOTO = random.Random(3).randbytes(200_000)


@pytest.fixture(params=["with events", "by scans alone"])
def desk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Desk]:
    (tmp_path / "inbox").mkdir()
    desk = Desk(tmp_path / "inbox", events=request.param == "with events")
    yield desk
    desk.stop()


def chunks(sleep: Sleep, size: int = 20_000) -> Iterator[bytes]:
    for begin in range(0, len(PHOTO), size):
        yield PHOTO[begin : begin + size]
        sleep(PAUSE_S)


def in_chunks(file: Path, sleep: Sleep) -> None:
    with file.open("wb") as stream:
        for chunk in chunks(sleep):
            stream.write(chunk)
            stream.flush()


def closing_after_each_chunk(file: Path, sleep: Sleep) -> None:
    for chunk in chunks(sleep):
        with file.open("ab") as stream:
            stream.write(chunk)


def truncated_to_full_size_first(file: Path, sleep: Sleep) -> None:
    with file.open("wb") as stream:
        stream.truncate(len(PHOTO))
        for chunk in chunks(sleep):
            stream.write(chunk)
            stream.flush()


def allocated_first(file: Path, sleep: Sleep) -> None:
    with file.open("wb") as stream:
        os.posix_fallocate(stream.fileno(), 0, len(PHOTO))
        for chunk in chunks(sleep):
            stream.write(chunk)
            stream.flush()


def temp_then_rename(file: Path, sleep: Sleep) -> None:
    temporary = file.with_name(f".{file.name}.part")
    in_chunks(temporary, sleep)
    temporary.rename(file)


def replaced_while_being_written(file: Path, sleep: Sleep) -> None:
    other = file.with_name(f".{file.name}.part")
    other.write_bytes(PHOTO)
    with file.open("wb") as stream:
        stream.write(PHOTO[:1000])
        stream.flush()
        sleep(PAUSE_S)
        other.rename(file)


def begun_empty(file: Path, sleep: Sleep) -> None:
    file.touch()
    sleep(1.5 * QUIET_S)
    in_chunks(file, sleep)


def by_a_child_process(file: Path, sleep: Sleep) -> None:
    source = file.parents[1] / f"source of {file.name}"
    source.write_bytes(PHOTO)
    subprocess.run(["cp", "--preserve=all", "--", source, file], check=True)


WRITERS = [
    in_chunks,
    closing_after_each_chunk,
    truncated_to_full_size_first,
    temp_then_rename,
    replaced_while_being_written,
    begun_empty,
    by_a_child_process,
]
if sys.platform.startswith("linux"):
    WRITERS.append(allocated_first)


def test_each_photo_is_handed_over_once_and_whole(desk: Desk) -> None:
    files = {writer: desk.folder / f"{writer.__name__}.jpg" for writer in WRITERS}
    desk.until_at_rest(*(partial(writer, file, desk.clock.sleep) for writer, file in files.items()))
    whole = hashlib.sha256(PHOTO).hexdigest()
    assert sorted(desk.handed) == sorted((file, whole) for file in files.values())


def test_a_folder_moved_in_is_handed_over_once(desk: Desk, tmp_path: Path) -> None:
    card = tmp_path / "card"
    (card / "DCIM" / "100").mkdir(parents=True)
    for number in range(20):
        (card / "DCIM" / "100" / f"IMG_{number}.jpg").write_bytes(PHOTO)
    card.rename(desk.folder / "card")
    desk.until_at_rest()
    moved = desk.folder / "card" / "DCIM" / "100"
    assert sorted(path for path, _ in desk.handed) == sorted(moved.iterdir())
    assert len(desk.handed) == 20


def test_what_vanishes_before_it_arrived_is_never_handed_over(tmp_path: Path) -> None:
    desk = Desk(tmp_path, events=False)

    def passing() -> None:
        in_chunks(desk.folder / "a.jpg", desk.clock.sleep)
        (desk.folder / "a.jpg").unlink()

    desk.until_at_rest(passing)
    assert desk.handed == []


def test_a_photo_that_is_changed_later_is_handed_over_anew(tmp_path: Path) -> None:
    desk = Desk(tmp_path, events=False)
    file = desk.folder / "a.jpg"
    file.write_bytes(PHOTO)
    desk.until_at_rest()
    file.write_bytes(PHOTO + b"more")
    desk.until_at_rest()
    expected = [hashlib.sha256(content).hexdigest() for content in (PHOTO, PHOTO + b"more")]
    assert [content for _, content in desk.handed] == expected


def test_a_writer_that_stalls_is_waited_for_since_its_file_is_not_whole(tmp_path: Path) -> None:
    """Preallocated, then silent for longer than the quiet time: only the reader can tell."""
    (tmp_path / "inbox").mkdir()
    asked: list[bool] = []

    def whole(content: bytes) -> bool:
        asked.append(content == PHOTO)
        return asked[-1]

    desk = Desk(tmp_path / "inbox", events=True, whole=whole)
    file = desk.folder / "a.jpg"

    def stalling() -> None:
        with file.open("wb") as stream:
            stream.truncate(len(PHOTO))
            stream.write(PHOTO[:1000])
            stream.flush()
            desk.clock.sleep(3 * QUIET_S)
            stream.write(PHOTO[1000:])

    desk.until_at_rest(stalling)
    desk.stop()
    assert desk.handed == [(file, hashlib.sha256(PHOTO).hexdigest())]
    assert asked.count(False) >= 1
