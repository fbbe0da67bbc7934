"""Files that are empty or break off: looked at again, ever more rarely, until patience ends."""

from __future__ import annotations

from pathlib import Path

from eyeline.intake.settle import Answer, State
from tests.intake.test_settle import HASTY_S, PHOTO, arrivals, run, seen, settling


def test_an_empty_file_is_waited_for() -> None:
    waits = settling()
    waits.expect(PHOTO, 0.0)
    answers = run(waits, lambda now_s: seen(size=0 if now_s < 20 else 5), 100.0)
    assert len(arrivals(answers)) == 1
    assert answers[-1][1].status == seen(size=5)


def test_a_file_that_stays_empty_fails_in_the_end() -> None:
    waits = settling(tries=3)
    waits.expect(PHOTO, 0.0)
    answers = run(waits, lambda _: seen(size=0), 1000.0)
    assert answers[-1] == (2.0 + 4 + 8 + 16, Answer(PHOTO, State.FAILED, seen(size=0), "the file is empty"))
    assert arrivals(answers) == []
    assert len(waits) == 0


def test_a_file_that_is_not_whole_is_handed_over_again_ever_more_rarely() -> None:
    waits = settling(tries=3)
    waits.expect(PHOTO, 0.0)
    at = []
    for _ in range(4):
        at += arrivals(run(waits, lambda _: seen(), (at or [0.0])[-1] + 17.0))
        again = waits.not_whole(PHOTO, at[-1])
        assert again is (len(at) < 4)
    assert at == [2.0, 6.0, 14.0, 30.0]
    assert len(waits) == 0


def test_patience_begins_anew_when_a_broken_file_grows() -> None:
    waits = settling(tries=1)
    waits.expect(PHOTO, 0.0)
    for size in (1, 2, 3, 4):
        assert len(arrivals(run(waits, lambda _, size=size: seen(size), 1000.0 * size))) == 1  # type: ignore[misc]
        assert waits.not_whole(PHOTO, 1000.0 * size)


def test_a_broken_file_that_is_changing_already_is_not_put_off() -> None:
    waits = settling()
    waits.expect(PHOTO, 0.0)
    assert len(arrivals(run(waits, lambda _: seen(1), 5.0))) == 1
    waits.notice(PHOTO, 6.0, closed=True)
    run(waits, lambda _: seen(2), 6.0)
    assert waits.not_whole(PHOTO, 6.2)
    assert arrivals(run(waits, lambda _: seen(2), 100.0)) == [6.0 + HASTY_S]


def test_not_whole_of_a_file_that_has_vanished_is_no_failure() -> None:
    assert settling().not_whole(PHOTO, 0.0)


def test_a_file_that_broke_off_keeps_nobody_else_waiting() -> None:
    """What is still missing of a brief is told while the sitter is there, whatever transfer has failed."""
    waits = settling()
    waits.expect(PHOTO, 0.0)
    assert waits.awaits_new
    (now_s,) = arrivals(run(waits, lambda _: seen(), 10.0))
    assert waits.awaits_new, "nobody knows yet whether it is whole"
    waits.not_whole(PHOTO, now_s)
    assert len(waits) == 1 and not waits.awaits_new
    waits.expect(Path("IMG_2.jpg"), now_s)
    assert waits.awaits_new
