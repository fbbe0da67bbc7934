"""One pass: shoots are written while others are measured, and what is unchanged is passed over."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from eyeline.deciding.decide import Decider
from eyeline.deciding.shoot import Shoot
from eyeline.errors import LedgerFailed, UnreadablePhoto
from eyeline.exiftool import ExifTool
from eyeline.ledger.records import Decision, Outcome, Photo, Summary
from eyeline.run.once import Listener, run_once
from eyeline.run.session import Session
from eyeline.terms.frame import Frame
from eyeline.workers.examine import Examined
from tests.deciding.decider import open_decider
from tests.ledger.invented import photo as invented
from tests.waiting import wait_until


def measured(frame: Frame) -> Examined:
    known = invented(frame.path, frame.digest)
    measurements = {each.name: each for each in known.measurements}
    return Examined(frame, measurements, known.points, known.why_sitter, known.milliseconds)


@dataclass
class Workers:
    """Workers that invent what they measure; `examined` may hold one up, or fail."""

    at_once = 2

    examined: Callable[[Frame], Examined] = measured
    identified: list[Path] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.threads = ThreadPoolExecutor(2)

    def expect(self, photos: int) -> None:
        pass

    def identify(self, path: Path, *_: bool) -> Future[Frame]:
        self.identified.append(path)
        return self.threads.submit(lambda: invented(path, path.name).frame)

    def examine(self, frame: Frame, *_: bool) -> Future[Examined]:
        return self.threads.submit(self.examined, frame)

    def measure(self, path: Path, *_: bool) -> Future[Examined]:
        self.identified.append(path)
        return self.threads.submit(lambda: self.examined(invented(path, path.name).frame))


@dataclass
class Heard:
    """What a listener hears."""

    found: int = 0
    measured: list[Path] = field(default_factory=list)
    decided: list[Decision] = field(default_factory=list)
    unchanged: list[Summary] = field(default_factory=list)

    def listener(self) -> Listener:
        def add(photos: int) -> None:
            self.found += photos

        def keep(_: Photo, decision: Decision) -> None:
            self.decided.append(decision)

        def passed_over(_: Shoot, summary: Summary) -> None:
            self.unchanged.append(summary)

        return Listener(add, self.measured.append, keep, passed_over)


@contextmanager
def session(home: Path, exiftool: ExifTool, workers: Workers) -> Iterator[Session]:
    with open_decider(home, exiftool) as decider:
        yield Session(
            decider.configuration,
            decider.ledger,
            decider.log,
            workers,  # type: ignore[arg-type]
            decider,
            queue.SimpleQueue(),
        )
    workers.threads.shutdown()


def card(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(b"a photo")


def test_a_shoot_is_written_while_the_next_is_measured(exiftool: ExifTool, tmp_path: Path) -> None:
    """The worker holds the second folder back until the first one's sidecars are there."""
    folder = tmp_path / "card"
    card(folder, "a/1.jpg", "a/2.jpg", "b/3.jpg")

    def after_the_first(frame: Frame) -> Examined:
        if frame.path.parent.name == "b":
            wait_until(lambda: len(list(folder.glob("a/*.xmp"))) == 2)
        return measured(frame)

    heard = Heard()
    with session(tmp_path, exiftool, Workers(after_the_first)) as opened:
        assert run_once(opened, [folder], heard.listener()) == 0
    assert heard.found == 3 == len(heard.measured)
    assert [each.path.name for each in heard.decided] == ["1.jpg", "2.jpg", "3.jpg"]
    assert {each.outcome for each in heard.decided} == {Outcome.WRITTEN}


def test_what_is_unchanged_is_passed_over_and_counted(exiftool: ExifTool, tmp_path: Path) -> None:
    folder = tmp_path / "card"
    card(folder, "a/1.jpg", "a/2.jpg", "b/3.jpg")
    workers, heard = Workers(), Heard()
    with session(tmp_path, exiftool, workers) as opened:
        run_once(opened, [folder], heard.listener())
        (folder / "b" / "3.xmp").unlink()
        workers.identified.clear()
        again = Heard()
        assert run_once(opened, [folder], again.listener()) == 1, "the deleted sidecar is a doubt"
    assert workers.identified == []
    assert again.found == 3
    (summary,) = again.unchanged
    assert summary.outcomes == {Outcome.UNCHANGED.value: 2}
    assert [(each.path.name, each.outcome) for each in again.decided] == [("3.jpg", Outcome.REFUSED)]


def test_a_photo_that_cannot_be_read_holds_up_no_other(exiftool: ExifTool, tmp_path: Path) -> None:
    folder = tmp_path / "card"
    card(folder, "a/1.jpg", "a/2.jpg")

    def unreadable(frame: Frame) -> Examined:
        if frame.path.name == "1.jpg":
            raise UnreadablePhoto("it is cut short", frame.path)
        return measured(frame)

    heard = Heard()
    with session(tmp_path, exiftool, Workers(unreadable)) as opened:
        for _ in range(2):  # and it is tried again in every pass
            assert run_once(opened, [folder], heard.listener()) == 1
    assert [each.path.name for each in heard.decided] == ["2.jpg", "2.jpg"]
    assert heard.unchanged == []


def test_what_ends_deciding_ends_the_pass(
    exiftool: ExifTool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "card"
    card(folder, *(f"{number:02}/1.jpg" for number in range(20)))
    begun = threading.Event()

    def full(*_: object, **__: object) -> Iterator[tuple[Photo, Decision]]:
        begun.set()
        raise LedgerFailed("the disk is full")
        yield

    monkeypatch.setattr(Decider, "decide", full)
    with session(tmp_path, exiftool, Workers()) as opened, pytest.raises(LedgerFailed, match="full"):
        run_once(opened, [folder], Heard().listener())
    assert begun.is_set()
    assert not [each for each in threading.enumerate() if each.name.startswith(("judge", "writer"))]


def test_a_pass_that_is_broken_off_leaves_every_sidecar_recorded(exiftool: ExifTool, tmp_path: Path) -> None:
    """As by Ctrl-C, which is raised where the pass waits."""
    folder = tmp_path / "card"
    card(folder, *(f"a/{number}.jpg" for number in range(12)))
    heard = Heard()

    def interrupted(photo: Photo, decision: Decision) -> None:
        raise KeyboardInterrupt

    with session(tmp_path, exiftool, Workers()) as opened:
        listener = Listener(lambda _: None, heard.measured.append, interrupted)
        with pytest.raises(KeyboardInterrupt):
            run_once(opened, [folder], listener)
        written = sorted(folder.rglob("*.xmp"))
        decisions = [opened.ledger.decisions.latest_written(path) for path in written]
        assert 0 < len(written) < 12
        assert all(each is not None and each.outcome is Outcome.WRITTEN for each in decisions)
