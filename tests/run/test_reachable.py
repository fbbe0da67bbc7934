"""Folders that answer and folders that do not: one that hangs holds nobody up."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from eyeline.run import reachable
from eyeline.run.reachable import PATIENCE_SECONDS, Reachable, roots_of

WELL, ILL = Path("/well"), Path("/ill")


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reachable, "SOON_SECONDS", 0.05)


def test_the_ill_one_is_known_and_the_well_one_unharmed_and_both_recover() -> None:
    let_go = threading.Event()
    folders = Reachable([WELL, ILL], lambda root: let_go.wait(30) if root == ILL else None)
    folders.renew(0.0)
    assert folders.answers(WELL / "a.jpg")
    assert not folders.answers(ILL / "deep" / "a.jpg")
    assert folders.silent(0.0) == frozenset(), "not told at once"
    for moment in range(1, int(PATIENCE_SECONDS)):
        folders.renew(float(moment))
    assert folders.silent(PATIENCE_SECONDS) == {ILL}
    let_go.set()
    folders._asked[ILL][1].join(30)
    assert folders.answers(ILL)
    assert folders.silent(PATIENCE_SECONDS) == frozenset()


def test_a_folder_that_falls_silent_and_comes_back_is_said_once_each() -> None:
    let_go = threading.Event()
    folders = Reachable([WELL, ILL], lambda root: let_go.wait(30) if root == ILL else None)
    folders.renew(0.0)
    assert folders.back() == {WELL}, "the first answer counts as coming back"
    assert folders.back() == frozenset()
    assert folders.fallen_silent(0.0) == frozenset()
    assert folders.fallen_silent(PATIENCE_SECONDS) == {ILL}
    assert folders.fallen_silent(PATIENCE_SECONDS) == frozenset()
    let_go.set()
    folders._asked[ILL][1].join(30)
    assert folders.fallen_silent(PATIENCE_SECONDS) == frozenset()
    assert folders.back() == {ILL}
    assert folders.back() == frozenset()


def test_only_one_question_is_under_way() -> None:
    let_go = threading.Event()
    asked = []

    def ask(root: Path) -> None:
        asked.append(root)
        let_go.wait(30)

    folders = Reachable([ILL], ask)
    for moment in range(20):
        folders.renew(float(moment))
    let_go.set()
    assert asked == [ILL]


def test_a_folder_that_is_not_there_answers(tmp_path: Path) -> None:
    folders = Reachable([tmp_path / "none"])
    folders.renew(0.0)
    assert folders.answers(tmp_path / "none" / "a.jpg")
    assert folders.answers(Path("/elsewhere/a.jpg"))


def test_roots_are_outermost_and_a_silent_one_stands_as_it_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reachable, "PATIENCE_SECONDS", 0.05)
    (tmp_path / "shoots" / "monday").mkdir(parents=True)
    (tmp_path / "link").symlink_to(tmp_path / "shoots")
    let_go = threading.Event()
    paths = [tmp_path / "shoots" / "monday", tmp_path / "link", ILL]
    roots = roots_of(paths, lambda path: let_go.wait(30) if path == ILL else None)
    let_go.set()
    assert roots == (tmp_path / "shoots", ILL)
