"""A new card is not behind an archive: the newest sitting is handed out first."""

from __future__ import annotations

import heapq
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from eyeline.workers.waiting import Waiting

ARCHIVE, CARD, SILENT = Path("/shoots/2019"), Path("/shoots/today"), Path("/nas/asleep")


def every(_: Path) -> bool:
    return True


def taken(waiting: Waiting) -> list[Path]:
    found = []
    while (path := waiting.next(every)) is not None:
        found.append(path)
    return found


def test_a_new_card_comes_before_ten_thousand_old_frames_and_as_it_was_shot() -> None:
    waiting = Waiting()
    for number in range(10_000):
        waiting.add(ARCHIVE / f"{number}.jpg", 1_000 + number)
    assert [waiting.next(every) for _ in range(2)] == [ARCHIVE / "0.jpg", ARCHIVE / "1.jpg"]
    card = [CARD / f"{number}.jpg" for number in range(20)]
    for number, path in enumerate(card):
        waiting.add(path, 10**18 - number)
    assert [waiting.next(every) for _ in range(21)] == [*card, ARCHIVE / "2.jpg"]
    assert len(waiting) == 9_997 == len(list(waiting))


def test_a_folder_that_does_not_answer_holds_up_no_other() -> None:
    waiting = Waiting()
    for number in range(3):
        waiting.add(SILENT / f"{number}.jpg", 10**18)
        waiting.add(ARCHIVE / f"{number}.jpg", 0)
    answers = ARCHIVE.__eq__
    found = [waiting.next(lambda path: answers(path.parent)) for _ in range(4)]
    assert found == [*(ARCHIVE / f"{number}.jpg" for number in range(3)), None]
    assert taken(waiting) == [SILENT / f"{number}.jpg" for number in range(3)]


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 5)) | st.none(), max_size=40))
def test_it_is_a_queue_a_folder_and_nothing_is_lost(steps: list[tuple[int, int] | None]) -> None:
    """Held against the plain law: the newest that still waits or has waited since the folder was empty."""
    waiting, folders, newest, came = Waiting(), {}, {}, 0  # type: ignore[var-annotated]
    for number, step in enumerate(steps):
        if step is not None:
            folder, mtime_ns = Path(f"/{step[0]}"), step[1]
            waiting.add(folder / str(number), mtime_ns)
            folders.setdefault(folder, []).append(folder / str(number))
            if folder not in newest or mtime_ns > -newest[folder][0]:
                came += 1
                newest[folder] = (-mtime_ns, came)
        elif folders:
            first = heapq.nsmallest(1, folders, key=newest.__getitem__)[0]
            assert waiting.next(every) == folders[first].pop(0)
            if not folders[first]:
                del folders[first], newest[first]
        else:
            assert waiting.next(every) is None
    assert sorted(taken(waiting)) == sorted(path for each in folders.values() for path in each)
