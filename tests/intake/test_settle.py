"""A file has arrived when it was quiet, unchanged, not empty, and is still there. The clock is handed in."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.intake.settle import Answer, Settling, State
from eyeline.terms.file_status import FileStatus

PHOTO = Path("IMG_1.jpg")
QUIET_S = 2.0
HASTY_S = 0.5


def seen(size: int = 10, mtime_ns: int = 0, inode: int = 1) -> FileStatus:
    return FileStatus(size, mtime_ns, inode, 1)


def settling(**options: float) -> Settling:
    return Settling(quiet_s=QUIET_S, quiet_after_close_s=HASTY_S, **options)  # type: ignore[arg-type]


def run(
    waits: Settling, file: Callable[[float], FileStatus | None], until_s: float
) -> list[tuple[float, Answer]]:
    """Drive the machine as the loop does: sleep exactly until the next look, look, note the answer."""
    answers = []
    for _ in range(10_000):
        now_s = waits.next_look_s()
        if now_s is None or now_s > until_s:
            return answers
        due = waits.due(now_s)
        assert due, "next_look_s promised a look that was not due"
        answers += [(now_s, waits.look(path, file(now_s), now_s)) for path in due]
    raise AssertionError("the machine does not come to rest")


def arrivals(answers: list[tuple[float, Answer]]) -> list[float]:
    return [now_s for now_s, answer in answers if answer.state is State.ARRIVED]


def test_a_still_file_arrives_after_the_quiet_time() -> None:
    waits = settling()
    waits.expect(PHOTO, 100.0)
    assert arrivals(run(waits, lambda _: seen(), 200.0)) == [102.0]


def test_an_arrival_tells_what_was_seen() -> None:
    waits = settling()
    waits.expect(PHOTO, 0.0)
    assert run(waits, lambda _: seen(7, 8, 9), 10.0)[-1][1] == Answer(PHOTO, State.ARRIVED, seen(7, 8, 9))


def test_a_single_look_is_never_enough() -> None:
    waits = settling()
    waits.expect(PHOTO, 0.0)
    assert waits.due(1000.0) == (PHOTO,)
    assert waits.look(PHOTO, seen(), 1000.0).state is State.WAITING


def test_a_slow_writer_without_events_is_waited_for() -> None:
    waits = settling()
    waits.expect(PHOTO, 0.0)
    growing_until_s = 30.0
    answers = run(waits, lambda now_s: seen(size=1 + int(min(now_s, growing_until_s))), 100.0)
    assert len(arrivals(answers)) == 1
    assert growing_until_s + QUIET_S <= arrivals(answers)[0] <= growing_until_s + 2 * QUIET_S


def test_a_preallocated_file_is_waited_for_while_its_time_moves() -> None:
    waits = settling()
    waits.expect(PHOTO, 0.0)
    answers = run(waits, lambda now_s: seen(size=9_000_000, mtime_ns=int(min(now_s, 12.0) * 1e9)), 100.0)
    assert arrivals(answers) == [14.0]


def test_a_replaced_file_is_waited_for_anew() -> None:
    waits = settling()
    waits.expect(PHOTO, 0.0)
    assert arrivals(run(waits, lambda now_s: seen(inode=1 if now_s < 1.9 else 2), 100.0)) == [4.0]


def test_events_put_the_arrival_off() -> None:
    waits = settling()
    waits.notice(PHOTO, 0.0)
    for tenth in range(1, 100):
        waits.notice(PHOTO, tenth / 10)
    assert arrivals(run(waits, lambda _: seen(), 100.0)) == [9.9 + 0.5 + QUIET_S]


def test_an_event_puts_it_off_although_nothing_is_seen_to_have_changed() -> None:
    """A file may change within the coarse times of its file system, or in a writer's memory map."""
    waits = settling()
    waits.expect(PHOTO, 0.0)
    assert arrivals(run(waits, lambda _: seen(), 1.9)) == []
    waits.notice(PHOTO, 1.9)
    assert arrivals(run(waits, lambda _: seen(), 100.0)) == [1.9 + 0.5 + QUIET_S]


def test_without_any_quiet_time_two_looks_are_needed_still() -> None:
    waits = Settling(quiet_s=0.0)
    waits.expect(PHOTO, 5.0)
    waits.due(5.0)
    assert waits.look(PHOTO, seen(), 5.0).state is State.WAITING
    waits.due(5.1)
    assert waits.look(PHOTO, seen(), 5.1).state is State.ARRIVED


def test_a_close_hastens_the_arrival() -> None:
    waits = settling()
    waits.notice(PHOTO, 0.0)
    run(waits, lambda _: seen(), 0.9)
    waits.notice(PHOTO, 1.0, closed=True)
    assert arrivals(run(waits, lambda _: seen(), 100.0)) == [1.0 + HASTY_S]


def test_a_close_hastens_past_files_that_wait_longer() -> None:
    waits = settling()
    other = Path("IMG_0.jpg")
    for path in (other, PHOTO):
        waits.expect(path, 0.0)
    for path in waits.due(0.0):
        waits.look(path, seen(), 0.0)
    waits.notice(PHOTO, 1.0, closed=True)
    assert waits.next_look_s() == 1.0
    assert waits.due(1.0) == (PHOTO,)


def test_a_close_does_not_define_it() -> None:
    """Some copiers open, append and close for every block: the file changes after its close."""
    waits = settling()
    waits.notice(PHOTO, 0.0, closed=True)
    answers = run(waits, lambda now_s: seen(size=1 if now_s < 0.4 else 2), 100.0)
    assert arrivals(answers) == [HASTY_S + QUIET_S]


def test_an_event_after_the_close_takes_the_haste_back() -> None:
    waits = settling()
    waits.notice(PHOTO, 0.0, closed=True)
    waits.notice(PHOTO, 0.1)
    assert arrivals(run(waits, lambda _: seen(), 100.0)) == [pytest.approx(0.1 + 0.5 + QUIET_S)]


def test_a_scan_does_not_put_the_arrival_off() -> None:
    waits = settling()
    waits.expect(PHOTO, 0.0)
    run(waits, lambda _: seen(), 1.0)
    waits.expect(PHOTO, 1.5)
    assert arrivals(run(waits, lambda _: seen(), 100.0)) == [2.0]


@pytest.mark.parametrize("gone_from_s", [0.0, 1.0])
def test_a_file_that_vanishes_is_forgotten(gone_from_s: float) -> None:
    waits = settling()
    waits.expect(PHOTO, 0.0)
    answers = run(waits, lambda now_s: None if now_s >= gone_from_s else seen(), 100.0)
    assert answers[-1][1].state is State.VANISHED
    assert len(waits) == 0
    assert waits.next_look_s() is None


def test_each_state_of_a_file_is_handed_over_once() -> None:
    waits = settling()
    waits.notice(PHOTO, 0.0)
    assert len(arrivals(run(waits, lambda _: seen(), 10.0))) == 1
    waits.notice(PHOTO, 11.0, closed=True)  # a late event, while the photo is in hand
    answers = run(waits, lambda _: seen(), 20.0)
    assert [answer.state for _, answer in answers] == [State.UNCHANGED]
    waits.done(PHOTO)
    assert len(waits) == 0


def test_a_file_that_changes_while_in_hand_arrives_again() -> None:
    waits = settling()
    waits.notice(PHOTO, 0.0)
    assert len(arrivals(run(waits, lambda _: seen(), 10.0))) == 1
    waits.notice(PHOTO, 11.0)
    waits.done(PHOTO)
    assert len(arrivals(run(waits, lambda _: seen(size=99), 20.0))) == 1
    waits.done(PHOTO)
    assert len(waits) == 0


def test_looks_are_due_in_the_order_of_arrival() -> None:
    waits = settling()
    paths = [Path(f"IMG_{number}.jpg") for number in (9, 10, 2)]
    for path in paths:
        waits.expect(path, 5.0)
    assert waits.due(4.9) == ()
    assert waits.due(5.0) == tuple(paths)


happenings = st.lists(
    st.tuples(
        st.floats(min_value=0.01, max_value=5.0),
        st.sampled_from(["write", "write unnoticed", "close", "scan", "remove", "wait"]),
    ),
    max_size=30,
)


@given(happenings)
def test_whatever_happens_each_state_is_handed_over_once_and_never_too_early(
    story: list[tuple[float, str]],
) -> None:
    """The file's states are told apart by size; `written_s` is when the present one came to be."""
    waits, now_s, size, written_s, there = settling(), 0.0, 1, 0.0, True
    waits.expect(PHOTO, 0.0)
    handed: list[int] = []

    def pass_time(until_s: float) -> None:
        for at_s, answer in run(waits, lambda _: seen(size) if there else None, until_s):
            if answer.state is State.ARRIVED:
                assert there
                assert at_s - written_s >= HASTY_S - 1e-9
                handed.append(size)
                waits.done(PHOTO)

    for pause_s, what in story:
        pass_time(now_s + pause_s)
        now_s += pause_s
        if what in ("write", "write unnoticed"):
            size, written_s, there = size + 1, now_s, True
        if what == "remove":
            there = False
        if what == "scan" and there and size not in handed:
            waits.expect(PHOTO, now_s)
        if what == "write" or (what == "close" and there and size not in handed):
            waits.notice(PHOTO, now_s, closed=what == "close")
    if there and size not in handed:
        waits.expect(PHOTO, now_s)
    pass_time(now_s + 100.0)
    assert len(handed) == len(set(handed))
    assert (size in handed) or not there
    assert len(waits) == 0
    assert waits.next_look_s() is None


def test_rights_or_times_set_after_the_close_put_it_off_no_longer_than_the_close() -> None:
    """A copier that closes first and sets the times then: cp -p, rsync, a card reader's program."""
    waits = settling()
    waits.notice(PHOTO, 0.0, closed=True)
    run(waits, lambda _: seen(), 0.2)
    waits.notice(PHOTO, 0.3, closed=None)
    assert arrivals(run(waits, lambda _: seen(mtime_ns=5), 100.0)) == [0.3 + HASTY_S]


def test_rights_or_times_alone_tell_no_end() -> None:
    waits = settling()
    waits.notice(PHOTO, 0.0, closed=None)
    assert arrivals(run(waits, lambda _: seen(), 100.0)) == [QUIET_S]
