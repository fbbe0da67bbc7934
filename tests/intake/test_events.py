"""What the system reports, with real folders; and what is said where it cannot."""

from __future__ import annotations

import os
import queue
import subprocess
import sys
import textwrap
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from eyeline.intake.events import Events, Kind
from tests.waiting import PATIENCE_SECONDS


class Listener:
    def __init__(self, *paths: Path) -> None:
        self.told: queue.Queue[tuple[Path, Kind]] = queue.Queue()
        self.events = Events(paths, lambda path, kind: self.told.put((path, kind)))

    def until(self, path: Path, kind: Kind) -> list[tuple[Path, Kind]]:
        """All that is told up to and with the given event; fails if it does not come."""
        heard = []
        while not heard or heard[-1] != (path, kind):
            try:
                heard.append(self.told.get(timeout=PATIENCE_SECONDS))
            except queue.Empty:
                raise AssertionError(f"{kind} of {path} was not told, only {heard}") from None
        return heard


@pytest.fixture
def listener(tmp_path: Path) -> Iterator[Listener]:
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    listener = Listener(inbox)
    assert listener.events.start() == ()
    yield listener
    listener.events.stop()


def test_writing_and_closing_are_told(listener: Listener, tmp_path: Path) -> None:
    file = tmp_path / "inbox" / "a.jpg"
    with file.open("wb") as stream:
        stream.write(b"x")
        stream.flush()
        listener.until(file, Kind.CHANGED)
    if sys.platform.startswith("linux"):
        listener.until(file, Kind.CLOSED)


def test_temp_then_rename_is_told_under_the_final_name_only(listener: Listener, tmp_path: Path) -> None:
    (tmp_path / "inbox" / ".a.jpg.tmp").write_bytes(b"x")
    file = (tmp_path / "inbox" / ".a.jpg.tmp").rename(tmp_path / "inbox" / "a.jpg")
    assert {path for path, _ in listener.until(file, Kind.MOVED)} == {file}


def test_moving_within_and_removing_are_told(listener: Listener, tmp_path: Path) -> None:
    file = tmp_path / "inbox" / "a.jpg"
    file.write_bytes(b"x")
    listener.until(file, Kind.CLOSED)
    other = file.rename(tmp_path / "inbox" / "b.jpg")
    assert (file, Kind.GONE) in listener.until(other, Kind.MOVED)
    other.unlink()
    listener.until(other, Kind.GONE)


def test_a_folder_moved_in_is_told_file_by_file(listener: Listener, tmp_path: Path) -> None:
    (tmp_path / "card" / "DCIM" / "100").mkdir(parents=True)
    for number in (1, 2, 3):
        (tmp_path / "card" / "DCIM" / "100" / f"{number}.jpg").write_bytes(b"x")
    moved = (tmp_path / "card").rename(tmp_path / "inbox" / "card")
    missing = {moved / "DCIM" / "100" / f"{number}.jpg" for number in (1, 2, 3)}
    while missing:
        missing.discard(listener.told.get(timeout=PATIENCE_SECONDS)[0])
    later = moved / "DCIM" / "100" / "4.jpg"
    later.write_bytes(b"x")
    listener.until(later, Kind.CLOSED)


def test_ignored_names_and_reading_are_not_told(listener: Listener, tmp_path: Path) -> None:
    inbox = tmp_path / "inbox"
    photo = inbox / "a.jpg"
    photo.write_bytes(b"x")
    listener.until(photo, Kind.CLOSED)
    (inbox / ".hidden").mkdir()
    for name in ["a.xmp", "b.jpg.part", ".c.jpg", ".hidden/d.jpg", "e.txt"]:
        (inbox / name).write_bytes(b"x")
    photo.read_bytes()
    last = inbox / "z.jpg"
    last.write_bytes(b"x")
    assert {path for path, _ in listener.until(last, Kind.CLOSED)} == {last}


def test_a_file_in_overlapping_folders_is_told_once(tmp_path: Path) -> None:
    (tmp_path / "a" / "b").mkdir(parents=True)
    listener = Listener(tmp_path / "a", tmp_path / "a" / "b")
    assert listener.events.start() == ()
    (tmp_path / "a" / "b" / "x.jpg").write_bytes(b"x")
    (tmp_path / "a" / "z.jpg").write_bytes(b"x")
    heard = listener.until(tmp_path / "a" / "z.jpg", Kind.CLOSED)
    listener.events.stop()
    assert heard.count((tmp_path / "a" / "b" / "x.jpg", Kind.CLOSED)) == 1


def test_a_single_file_may_be_watched(tmp_path: Path) -> None:
    file, other = tmp_path / "a.jpg", tmp_path / "b.jpg"
    file.write_bytes(b"x")
    listener = Listener(file)
    assert listener.events.start() == ()
    other.write_bytes(b"x")
    file.write_bytes(b"xy")
    heard = listener.until(file, Kind.CLOSED)
    listener.events.stop()
    assert {path for path, _ in heard} == {file}


def test_hostile_names_arrive_as_they_are(listener: Listener, tmp_path: Path) -> None:
    file = tmp_path / "inbox" / os.fsdecode(b"-\n\xff\x1b[2J.jpg")
    file.write_bytes(b"x")
    listener.until(file, Kind.CLOSED)


def test_a_folder_made_anew_is_watched_again(listener: Listener, tmp_path: Path) -> None:
    inbox = tmp_path / "inbox"
    inbox.rename(tmp_path / "old")
    assert listener.events.renew() == ()
    inbox.mkdir()
    assert listener.events.renew() == ()
    (inbox / "a.jpg").write_bytes(b"x")
    listener.until(inbox / "a.jpg", Kind.CLOSED)


def test_a_missing_folder_is_left_to_the_scan(tmp_path: Path) -> None:
    listener = Listener(tmp_path / "later")
    assert listener.events.start() == ()
    (tmp_path / "later").mkdir()
    assert listener.events.renew() == ()
    (tmp_path / "later" / "a.jpg").write_bytes(b"x")
    listener.until(tmp_path / "later" / "a.jpg", Kind.CLOSED)
    listener.events.stop()


def test_it_stops_cleanly_and_stays_so(tmp_path: Path) -> None:
    before = threading.active_count()
    listener = Listener(tmp_path)
    listener.events.stop()
    listener.events.start()
    listener.events.stop()
    listener.events.stop()
    (tmp_path / "a.jpg").write_bytes(b"x")
    assert listener.told.empty()
    assert threading.active_count() <= before + 1  # watchdog keeps one reader for the whole process
    assert listener.events.renew() == ()
    (tmp_path / "b.jpg").write_bytes(b"x")
    assert listener.told.empty()


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_it_listens_again_after_its_thread_has_died(tmp_path: Path) -> None:
    """As it would if `wake` raised, or watchdog met something that it does not know."""
    told: queue.Queue[Path] = queue.Queue()

    def wake(path: Path, kind: Kind) -> None:
        if path.name == "bad.jpg":
            raise RuntimeError("planted")
        told.put(path)

    events = Events([tmp_path], wake)
    events.start()
    (tmp_path / "bad.jpg").write_bytes(b"x")
    for thread in threading.enumerate():
        if "Observer" in type(thread).__name__:
            thread.join(PATIENCE_SECONDS)
    assert events.renew() == ()
    (tmp_path / "good.jpg").write_bytes(b"x")
    assert told.get(timeout=PATIENCE_SECONDS).name == "good.jpg"
    events.stop()


# inotify's limits can be lowered for a user namespace alone: nobody else on the machine notices.
_WITH_FEW_WATCHES = """
    import sys, threading, time
    from pathlib import Path
    from eyeline.intake.events import Events
    inbox, expected, patience_s, *limits = sys.argv[1:]
    heard = set()
    events = Events([Path(inbox)], lambda path, kind: heard.add(path))
    for number, limit in enumerate(limits):
        Path("/proc/sys/user/max_inotify_watches").write_text(limit)
        for problem in events.renew() if number else events.start():
            print(problem)
    folders = list(Path(inbox).iterdir())
    for folder in folders:
        (folder / "a.jpg").write_bytes(b"x")
    end_s = time.monotonic() + float(patience_s)
    while len(heard) < int(expected) and time.monotonic() < end_s:
        time.sleep(0.01)
    time.sleep(0.1)  # what comes from a folder that cannot be listened to would be there by now
    print(len(heard))
    events.stop()
"""


@pytest.mark.parametrize(
    ("limits", "problems", "heard"),
    [
        (["0"], ["this folder is not listened to: too few inotify watches"], 0),
        (["3"], ["3 of its folders are not listened to: too few inotify watches"], 2),
        (["6"], [], 5),
        (["0", "100"], ["this folder is not listened to: too few inotify watches"], 5),
        (["3", "100"], ["3 of its folders are not listened to: too few inotify watches"], 5),
    ],
    ids=str,
)
def test_too_few_inotify_watches_are_a_problem_until_the_limit_is_raised(
    tmp_path: Path, limits: list[str], problems: list[str], heard: int
) -> None:
    for name in ("1", "2", "3", "4", "5"):
        (tmp_path / name).mkdir()
    try:
        subprocess.run(["unshare", "-U", "-r", "true"], check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this machine has no user namespaces to lower the limit in")
    script = textwrap.dedent(_WITH_FEW_WATCHES)
    command = ["unshare", "-U", "-r", sys.executable, "-c", script, str(tmp_path), str(heard)]
    command += [str(PATIENCE_SECONDS), *limits]
    out = subprocess.run(command, capture_output=True, text=True, check=True).stdout.splitlines()
    assert [line.partition(". ")[0] for line in out[:-1]] == [f"{tmp_path}: {what}" for what in problems]
    assert all("max_user_watches" in line for line in out[:-1])
    assert int(out[-1]) == heard
