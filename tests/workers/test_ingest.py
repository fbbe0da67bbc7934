"""From arrived to measured when ledger or folder fail: nothing is lost, nothing done twice."""

from __future__ import annotations

import queue
from collections.abc import Iterator
from concurrent.futures import Future
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from eyeline.errors import EyelineError, LedgerFailed
from eyeline.intake.status import status_of
from eyeline.ledger import Ledger
from eyeline.ledger.photos import Photos
from eyeline.ledger.records import Photo
from eyeline.terms.frame import Capture, Frame
from eyeline.workers.examine import Examined
from eyeline.workers.ingest import AHEAD_OF_WORKERS, MOST_LOST_TO_PLUG_INS, Answer, Ingest
from tests.waiting import PATIENCE_SECONDS


class WorkerPool:
    """Workers that answer when the test says so."""

    at_once = 1

    def __init__(self) -> None:
        self.asked: list[tuple[Path, Future[Any]]] = []
        self.expected: list[int] = []
        self.with_plug_ins: list[bool] = []
        self.in_one_go: dict[Future[Any], Path] = {}

    def expect(self, photos: int) -> None:
        self.expected.append(photos)

    def let_go(self) -> None:
        """What waits for nobody is answered as it comes."""

    def identify(self, path: Path, alone: bool = False) -> Future[Any]:
        self.asked.append((path, Future()))
        return self.asked[-1][1]

    def examine(self, frame: Frame, alone: bool = False, plug_ins: bool = True) -> Future[Any]:
        self.with_plug_ins.append(plug_ins)
        return self.identify(frame.path, alone)

    def measure(self, path: Path, plug_ins: bool = True) -> Future[Any]:
        self.with_plug_ins.append(plug_ins)
        future = self.identify(path)
        self.in_one_go[future] = path
        return future


class Bench:
    """An ingest with one worker, files that have arrived, and what became of them."""

    def __init__(self, folder: Path, ledger: Ledger) -> None:
        self.pool, self.ledger = WorkerPool(), ledger
        self.measured: list[Path] = []
        self.failed: dict[Path, EyelineError] = {}
        self.silent: set[Path] = set()
        self.identified: set[Path] = set()
        self.answers: queue.SimpleQueue[Answer] = queue.SimpleQueue()
        self.photos = [folder / f"{number}.jpg" for number in range(5)]
        self.ingest = Ingest(
            self.pool,  # type: ignore[arg-type]
            ledger,
            lambda photo: self.measured.append(photo.frame.path),
            self.failed.__setitem__,
            self.answers,
            lambda path: path not in self.silent,
        )

    def take(self, path: Path) -> None:
        path.write_bytes(bytes(1 + int(path.stem)))
        look = status_of(path)
        assert look is not None
        assert self.ingest.take(path, look)

    def answer_next(self, dies: bool = False) -> Answer:
        """The worker answers the oldest question: which frame it is, what was measured in it, or both."""
        path, future = self.pool.asked.pop(0)
        frame = Frame(path, path.name, 40, 60, 40, 60, 1, Capture())
        if dies:
            future.set_exception(TimeoutError())
        elif path in self.identified or future in self.pool.in_one_go:
            future.set_result(Examined(frame, {}, None, "", {}))
        else:
            self.identified.add(path)
            future.set_result(frame)
        return self.answers.get(timeout=PATIENCE_SECONDS)

    def finish(self) -> None:
        while self.pool.asked:
            self.ingest.receive(self.answer_next())


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Ledger(tmp_path / "kept" / "ledger.sqlite3", datetime.now(UTC)) as ledger:
        yield Bench(tmp_path, ledger)


def test_what_the_ledger_could_not_take_is_received_again(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    for path in bench.photos:
        bench.take(path)

    def full(_: Photos, __: Photo) -> None:
        raise LedgerFailed("the disk is full")

    answer = bench.answer_next()
    with monkeypatch.context() as patch:
        patch.setattr(Photos, "record", full)
        for _ in range(3):
            with pytest.raises(LedgerFailed):
                bench.ingest.receive(answer)
    assert bench.measured == []
    assert len(bench.ingest) == len(bench.photos)
    assert len(bench.pool.asked) < AHEAD_OF_WORKERS, "while it fails, workers get nothing new"
    bench.ingest.receive(answer)
    bench.finish()
    assert sorted(bench.measured) == bench.photos
    assert len(bench.ingest) == 0


def test_the_pool_is_asked_for_workers_as_photos_come(bench: Bench) -> None:
    assert bench.pool.expected == []
    for path in bench.photos:
        bench.take(path)
    assert bench.pool.expected == [1, 2, 3, 4, 5]


def test_files_of_a_silent_folder_wait_and_others_go_on(bench: Bench) -> None:
    silent, *others = bench.photos
    bench.silent.add(silent)
    for path in bench.photos:
        bench.take(path)
    bench.finish()
    assert sorted(bench.measured) == others
    assert len(bench.ingest) == 1
    bench.silent.clear()
    bench.ingest.go_on()
    bench.finish()
    assert sorted(bench.measured) == bench.photos


def test_a_worker_that_hung_on_a_silent_folder_costs_no_photo(bench: Bench) -> None:
    photo = bench.photos[0]
    bench.take(photo)
    for _ in range(3):
        bench.silent.add(photo)
        bench.ingest.receive(bench.answer_next(dies=True))
        bench.silent.clear()
        bench.ingest.go_on()
    assert bench.failed == {}
    bench.finish()
    assert bench.measured == [photo]


def test_photos_that_cost_a_worker_its_life_are_measured_without_plug_ins_and_soon_all_are(
    bench: Bench,
) -> None:
    for path in bench.photos:
        bench.take(path)
        if bench.pool.with_plug_ins[-1]:
            bench.ingest.receive(bench.answer_next(dies=True))
        bench.finish()
    assert sorted(bench.measured) == bench.photos
    assert bench.pool.with_plug_ins == [True, False] * MOST_LOST_TO_PLUG_INS + [False, False]


def test_what_is_new_is_measured_in_one_go_and_what_may_be_known_is_identified_first(bench: Bench) -> None:
    first, other, renamed = *bench.photos[:2], bench.photos[0].with_name("00.jpg")
    for path in (first, other):
        bench.take(path)
        bench.finish()
    first.rename(renamed)
    bench.take(renamed)
    assert [*bench.pool.in_one_go.values()] == [first, other]
    bench.finish()
    assert bench.measured == [first, other, renamed]


def test_at_a_stop_only_what_is_in_hand_is_finished(bench: Bench) -> None:
    for path in bench.photos:
        bench.take(path)
    bench.ingest.let_go()
    assert len(bench.ingest) == AHEAD_OF_WORKERS
    bench.finish()
    assert sorted(bench.measured) == bench.photos[:AHEAD_OF_WORKERS]
    states = {str(each.path.name): each.state for each in bench.ledger.files.under(bench.photos[0].parent)}
    assert list(states.values()) == ["measured"] * 2 + ["arrived"] * 3
