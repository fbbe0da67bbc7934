"""Which photos are judged early, when, and in what company; time is handed in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from eyeline.ledger.records import Photo
from eyeline.run.early_verdicts import COMPANY, EVERY_SECONDS, MOST_FOLDERS, MOST_SHARE, EarlyVerdicts
from eyeline.terms.frame import Capture
from tests.ledger import invented

STUDIO, CARD = Path("/studio"), Path("/card")


def photo(number: int, folder: Path = STUDIO) -> Photo:
    path = folder / f"{number:03}.jpg"
    one = invented.photo(path, f"{folder}{number}")
    taken = f"2026-09-14T10:{number // 60:02}:{number % 60:02}"
    return replace(one, frame=replace(one.frame, path=path, capture=Capture(taken)))


class Room:
    def __init__(self, before: Sequence[Photo] = (), takes_s: float = 0.0) -> None:
        self.takes_s, self.now_s = takes_s, 0.0
        self.judged: list[tuple[list[str], list[str]]] = []
        self.asked: list[Path] = []
        self.early = EarlyVerdicts(self._judge, self._before, lambda: self.now_s)
        self._lay_there = before

    def _before(self, folder: Path) -> Sequence[Photo]:
        self.asked.append(folder)
        return self._lay_there

    def _judge(self, company: Sequence[Photo], new: frozenset[Path]) -> None:
        self.now_s += self.takes_s
        self.judged.append(([each.frame.path.stem for each in company], sorted(path.stem for path in new)))


def test_a_frame_is_judged_at_once_among_those_before_it() -> None:
    room = Room([photo(1), photo(2)])
    room.early.measured(photo(3))
    assert room.early.next_s() is not None
    room.early.tell_due(100.0)
    assert room.judged == [(["001", "002", "003"], ["003"])] and room.early.next_s() is None


def test_a_card_is_judged_by_handfuls_and_nothing_is_left_out() -> None:
    room, now_s = Room(), 0.0
    for number in range(100):
        room.early.measured(photo(number))
        room.early.tell_due(now_s)
        now_s += EVERY_SECONDS / 5
    room.early.tell_due(now_s + EVERY_SECONDS)
    assert sorted(name for _, new in room.judged for name in new) == [f"{number:03}" for number in range(100)]
    assert len(room.judged) <= 22
    assert all(len(company) <= COMPANY + len(new) for company, new in room.judged)


def test_frames_of_a_handful_are_all_judged_however_many_they_are() -> None:
    room = Room()
    for number in range(2 * COMPANY):
        room.early.measured(photo(number))
    room.early.tell_due(0.0)
    ((company, new),) = room.judged
    assert company == new and len(new) == 2 * COMPANY


def test_a_photo_that_is_measured_again_is_one_photo() -> None:
    room = Room()
    for _ in range(2):
        room.early.measured(photo(1))
    room.early.tell_due(0.0)
    assert room.judged == [(["001"], ["001"])]


def test_company_is_kept_of_a_few_folders_alone() -> None:
    room = Room()
    for number in range(3 * MOST_FOLDERS):
        room.early.measured(photo(1, Path(f"/{number}")))
        room.early.tell_due(10.0 * number)
    room.asked.clear()
    room.early.measured(photo(2, Path(f"/{3 * MOST_FOLDERS - 1}")))
    assert room.asked == []
    room.early.measured(photo(2, Path("/0")))
    assert room.asked == [Path("/0")]


def test_judging_that_takes_long_is_done_less_often() -> None:
    room = Room(takes_s=0.4)
    for number in range(100):
        room.early.measured(photo(number))
        room.early.tell_due(0.1 * number)
    assert len(room.judged) == 10.0 * MOST_SHARE / 0.4
