"""The parts of the room together, with real writers at work: each photo is handed over once, and whole.

Real files, threads, child processes and inotify; short quiet times. What is asserted is the content at the
moment of the hand-over, never how long it took.
"""

from __future__ import annotations

import hashlib
import os
import queue
import random
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.events import Events, Kind
from eyeline.intake.look import Look, look_at
from eyeline.intake.settle import Settling, State

QUIET_S = 0.4
HASTY_S = 0.2
PAUSE_S = 0.05  # of a writer between two chunks: well below HASTY_S, even on a busy machine
SCAN_S = 0.3
PATIENCE_S = 60.0

PHOTO = random.Random(3).randbytes(200_000)


class Desk:
    """A loop as the daemon's: events and scans wake it, `take` notes the content that it is handed."""

    def __init__(self, folder: Path, events: bool, whole: Callable[[bytes], bool] = lambda _: True) -> None:
        self.folder = folder
        self.whole = whole
        self.settling = Settling(QUIET_S, HASTY_S)
        self.happened: queue.Queue[tuple[Path, Kind]] = queue.Queue()
        self.handed: list[tuple[Path, str]] = []
        self.known: dict[Path, Look] = {}
        self.events = Events([folder], lambda path, kind: self.happened.put((path, kind))) if events else None
        if self.events is not None:
            assert self.events.start() == ()

    def scan(self) -> None:
        for found in catch_up([self.folder]):
            assert isinstance(found, Candidate)
            if self.known.get(found.path) != found.look:
                self.settling.expect(found.path, time.monotonic())

    def take(self, path: Path, look: Look) -> None:
        content = path.read_bytes()
        if self.whole(content):
            self.handed.append((path, hashlib.sha256(content).hexdigest()))
            self.known[path] = look
            self.settling.done(path)
        else:
            assert self.settling.not_whole(path, time.monotonic())

    def until_at_rest(self, writers: list[threading.Thread]) -> None:
        """Run until the writers have ended and nothing is waited for, then one scan more."""
        end_s, next_scan_s = time.monotonic() + PATIENCE_S, 0.0
        while True:
            now_s = time.monotonic()
            assert now_s < end_s, "the desk does not come to rest"
            if now_s >= next_scan_s:
                at_rest = not any(writer.is_alive() for writer in writers)
                self.scan()
                next_scan_s = now_s + SCAN_S
                if at_rest and not len(self.settling) and self.happened.empty():
                    return
            for path in self.settling.due(now_s):
                answer = self.settling.look(path, look_at(path), now_s)
                if answer.state is State.ARRIVED and answer.look is not None:
                    self.take(path, answer.look)
            wake_s = min(self.settling.next_look_s() or end_s, next_scan_s)
            try:
                path, kind = self.happened.get(timeout=max(0.0, wake_s - time.monotonic()))
                self.settling.notice(path, time.monotonic(), closed=kind is Kind.CLOSED)
            except queue.Empty:
                pass

    def stop(self) -> None:
        if self.events is not None:
            self.events.stop()


@pytest.fixture(params=["with events", "by scans alone"])
def desk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Desk]:
    (tmp_path / "inbox").mkdir()
    desk = Desk(tmp_path / "inbox", events=request.param == "with events")
    yield desk
    desk.stop()


def chunks(size: int = 20_000) -> Iterator[bytes]:
    for begin in range(0, len(PHOTO), size):
        yield PHOTO[begin : begin + size]
        time.sleep(PAUSE_S)


def in_chunks(file: Path) -> None:
    with file.open("wb") as stream:
        for chunk in chunks():
            stream.write(chunk)
            stream.flush()


def closing_after_each_chunk(file: Path) -> None:
    for chunk in chunks():
        with file.open("ab") as stream:
            stream.write(chunk)


def truncated_to_full_size_first(file: Path) -> None:
    with file.open("wb") as stream:
        stream.truncate(len(PHOTO))
        for chunk in chunks():
            stream.write(chunk)
            stream.flush()


def allocated_first(file: Path) -> None:
    with file.open("wb") as stream:
        os.posix_fallocate(stream.fileno(), 0, len(PHOTO))
        for chunk in chunks():
            stream.write(chunk)
            stream.flush()


def temp_then_rename(file: Path) -> None:
    temporary = file.with_name(f".{file.name}.part")
    in_chunks(temporary)
    temporary.rename(file)


def replaced_while_being_written(file: Path) -> None:
    other = file.with_name(f".{file.name}.part")
    other.write_bytes(PHOTO)
    with file.open("wb") as stream:
        stream.write(PHOTO[:1000])
        stream.flush()
        time.sleep(PAUSE_S)
        other.rename(file)


def begun_empty(file: Path) -> None:
    file.touch()
    time.sleep(3 * QUIET_S)
    in_chunks(file)


def by_a_child_process(file: Path) -> None:
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
    writers = [threading.Thread(target=writer, args=(file,)) for writer, file in files.items()]
    for thread in writers:
        thread.start()
    desk.until_at_rest(writers)
    whole = hashlib.sha256(PHOTO).hexdigest()
    assert sorted(desk.handed) == sorted((file, whole) for file in files.values())


def test_a_folder_moved_in_is_handed_over_once(desk: Desk, tmp_path: Path) -> None:
    card = tmp_path / "card"
    (card / "DCIM" / "100").mkdir(parents=True)
    for number in range(20):
        (card / "DCIM" / "100" / f"IMG_{number}.jpg").write_bytes(PHOTO)
    card.rename(desk.folder / "card")
    desk.until_at_rest([])
    moved = desk.folder / "card" / "DCIM" / "100"
    assert [path for path, _ in desk.handed] == [moved / f"IMG_{number}.jpg" for number in range(20)] or (
        desk.events is not None and {path for path, _ in desk.handed} == set(moved.iterdir())
    )
    assert len(desk.handed) == 20


def test_what_vanishes_before_it_arrived_is_never_handed_over(desk: Desk) -> None:
    def passing(file: Path) -> None:
        in_chunks(file)
        file.unlink()

    writer = threading.Thread(target=passing, args=(desk.folder / "a.jpg",))
    writer.start()
    desk.until_at_rest([writer])
    assert desk.handed == []


def test_a_photo_that_is_changed_later_is_handed_over_anew(desk: Desk) -> None:
    file = desk.folder / "a.jpg"
    file.write_bytes(PHOTO)
    desk.until_at_rest([])
    file.write_bytes(PHOTO + b"more")
    desk.until_at_rest([])
    expected = [hashlib.sha256(content).hexdigest() for content in (PHOTO, PHOTO + b"more")]
    assert [content for _, content in desk.handed] == expected


def test_a_writer_that_stalls_is_waited_for_since_its_file_is_not_whole(tmp_path: Path) -> None:
    """Preallocated, then silent for longer than the quiet time: only the reader can tell."""

    def stalling(file: Path) -> None:
        with file.open("wb") as stream:
            stream.truncate(len(PHOTO))
            stream.write(PHOTO[:1000])
            stream.flush()
            time.sleep(4 * QUIET_S)
            stream.write(PHOTO[1000:])

    (tmp_path / "inbox").mkdir()
    asked: list[bool] = []

    def whole(content: bytes) -> bool:
        asked.append(content == PHOTO)
        return asked[-1]

    desk = Desk(tmp_path / "inbox", events=True, whole=whole)
    file = desk.folder / "a.jpg"
    writer = threading.Thread(target=stalling, args=(file,))
    writer.start()
    desk.until_at_rest([writer])
    desk.stop()
    assert desk.handed == [(file, hashlib.sha256(PHOTO).hexdigest())]
    assert asked.count(False) >= 1
