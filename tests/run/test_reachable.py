"""Folders that answer and folders that do not: one that hangs holds nobody up."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import pytest

from eyeline.run import reachable
from eyeline.run.reachable import PATIENCE_SECONDS, Reachable, roots_of
from tests.waiting import PATIENCE_SECONDS as LONG_SECONDS

WELL, ILL = Path("/well"), Path("/ill")


class Question(threading.Thread):
    """The ill one is given up at once, whatever has an answer is waited for: no result depends on how busy
    the machine is."""

    def __init__(self, args: tuple[Path], **words: Any) -> None:
        super().__init__(args=args, **words)
        self.is_hopeless = args == (ILL,)

    def join(self, timeout: float | None = None) -> None:
        super().join(0 if self.is_hopeless and timeout != LONG_SECONDS else LONG_SECONDS)


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reachable, "Thread", Question)


def test_the_ill_one_is_known_and_the_well_one_unharmed_and_both_recover() -> None:
    let_go = threading.Event()
    folders = Reachable([WELL, ILL], lambda root: let_go.wait(LONG_SECONDS) if root == ILL else None)
    folders.renew(0.0)
    assert folders.answers(WELL / "a.jpg")
    assert not folders.answers(ILL / "deep" / "a.jpg")
    assert folders.silent(0.0) == frozenset(), "not told at once"
    for moment in range(1, int(PATIENCE_SECONDS)):
        folders.renew(float(moment))
    assert folders.silent(PATIENCE_SECONDS) == {ILL}
    let_go.set()
    folders._asked[ILL][1].join(LONG_SECONDS)
    assert folders.answers(ILL)
    assert folders.silent(PATIENCE_SECONDS) == frozenset()


def test_a_folder_that_falls_silent_and_comes_back_is_said_once_each() -> None:
    let_go = threading.Event()
    folders = Reachable([WELL, ILL], lambda root: let_go.wait(LONG_SECONDS) if root == ILL else None)
    folders.renew(0.0)
    assert folders.back() == {WELL}, "the first answer counts as coming back"
    assert folders.back() == frozenset()
    assert folders.fallen_silent(0.0) == frozenset()
    assert folders.fallen_silent(PATIENCE_SECONDS) == {ILL}
    assert folders.fallen_silent(PATIENCE_SECONDS) == frozenset()
    let_go.set()
    folders._asked[ILL][1].join(LONG_SECONDS)
    assert folders.fallen_silent(PATIENCE_SECONDS) == frozenset()
    assert folders.back() == {ILL}
    assert folders.back() == frozenset()


def test_only_one_question_is_under_way() -> None:
    let_go = threading.Event()
    asked = []

    def ask(root: Path) -> None:
        asked.append(root)
        let_go.wait(LONG_SECONDS)

    folders = Reachable([ILL], ask)
    for moment in range(20):
        folders.renew(float(moment))
    let_go.set()
    folders._asked[ILL][1].join(LONG_SECONDS)
    assert asked == [ILL]


def test_a_folder_that_is_not_there_answers(tmp_path: Path) -> None:
    folders = Reachable([tmp_path / "none"])
    folders.renew(0.0)
    assert folders.answers(tmp_path / "none" / "a.jpg")
    assert folders.answers(Path("/elsewhere/a.jpg"))


def test_roots_are_outermost_and_a_silent_one_stands_as_it_is_named(
    tmp_path: Path,
) -> None:
    (tmp_path / "shoots" / "monday").mkdir(parents=True)
    (tmp_path / "link").symlink_to(tmp_path / "shoots")
    let_go = threading.Event()
    paths = [tmp_path / "shoots" / "monday", tmp_path / "link", ILL]
    roots = roots_of(paths, lambda path: let_go.wait(LONG_SECONDS) if path == ILL else None)
    let_go.set()
    assert roots == (tmp_path / "shoots", ILL)
