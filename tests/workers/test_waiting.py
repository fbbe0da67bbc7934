"""A new card is not behind an archive: the newest sitting is handed out first."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from eyeline.workers.waiting import LIVE_NS, Waiting

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
    """Held against the plain law: the newest that still waits or has waited since the folder was empty; of
    those that come at the same time the folder with the fewest."""
    waiting, folders, newest, came = Waiting(), {}, {}, 0  # type: ignore[var-annotated]
    for number, step in enumerate(steps):
        if step is not None:
            folder, mtime_ns = Path(f"/{step[0]}"), step[1] * LIVE_NS // 2
            waiting.add(folder / str(number), mtime_ns)
            folders.setdefault(folder, []).append(folder / str(number))
            if folder not in newest or mtime_ns > -newest[folder][0]:
                came += 1
                newest[folder] = (-mtime_ns, came)
        elif folders:
            order = sorted(folders, key=newest.__getitem__)
            latest = -newest[order[0]][0]
            live = [each for each in order if latest and latest + newest[each][0] <= LIVE_NS] or order[:1]
            first = min(live, key=lambda each: len(folders[each]))
            assert waiting.next(every) == folders[first].pop(0)
            if not folders[first]:
                del folders[first], newest[first]
        else:
            assert waiting.next(every) is None
    assert sorted(taken(waiting)) == sorted(path for each in folders.values() for path in each)


def test_a_camera_that_sends_frame_by_frame_is_not_behind_a_card_that_comes_at_the_same_time() -> None:
    waiting, camera = Waiting(), Path("/shoots/tethered")
    for number in range(200):
        waiting.add(CARD / f"{number}.jpg", 10**18 + number * 10**8)
    waiting.add(camera / "1.jpg", 10**18 + 5 * 10**9)
    waiting.add(CARD / "200.jpg", 10**18 + 30 * 10**9)
    assert [waiting.next(every) for _ in range(2)] == [camera / "1.jpg", CARD / "0.jpg"]


def test_folders_of_no_times_go_as_they_came_however_few_wait_in_one() -> None:
    waiting = Waiting()
    for number in range(5):
        waiting.add(ARCHIVE / f"{number}.jpg", 0)
    waiting.add(CARD / "1.jpg", 0)
    assert waiting.next(every) == ARCHIVE / "0.jpg"
