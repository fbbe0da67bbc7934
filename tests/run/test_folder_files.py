"""A new, changed or removed `eyeline.toml` concerns the folders that it speaks for, and those alone."""

from __future__ import annotations

import os
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from eyeline.run.folder_files import FolderFiles
from eyeline.settings.folder_file import FILE_NAME


@pytest.fixture
def folders(tmp_path: Path) -> list[Path]:
    made = [tmp_path / "root" / name for name in ("one", "one/below", "two")]
    for each in made:
        each.mkdir(parents=True)
    return made


def watched(root: Path, judged_at: datetime | None) -> FolderFiles:
    return FolderFiles([root], lambda _: judged_at)


def test_the_first_look_finds_what_is_younger_than_the_verdicts_there(folders: list[Path]) -> None:
    root = folders[0].parent
    (folders[0] / FILE_NAME).write_text("")
    now = datetime.now(UTC)
    assert list(watched(root, now - timedelta(hours=1)).changed(folders)) == folders[:2]
    assert list(watched(root, now + timedelta(hours=1)).changed(folders)) == []
    assert list(watched(root, None).changed(folders)) == []


def test_an_old_file_that_was_copied_here_later_is_young(folders: list[Path]) -> None:
    """rename(2) and utimes(2) set st_ctime, which nobody can set back."""
    root = folders[0].parent
    old = root / "old.toml"
    old.write_text("")
    os.utime(old, (0, 0))
    shutil.copy2(old, folders[2] / FILE_NAME)
    assert list(watched(root, datetime.now(UTC) - timedelta(minutes=1)).changed(folders)) == [folders[2]]


def test_later_looks_find_what_came_changed_or_went(folders: list[Path]) -> None:
    one, below, two = folders
    files = watched(one.parent, datetime.now(UTC))
    assert list(files.changed(folders)) == []
    (two / FILE_NAME).write_text("")
    assert list(files.changed(folders)) == [two]
    assert list(files.changed(folders)) == []
    (one.parent / FILE_NAME).write_text("")
    assert list(files.changed(folders)) == [one, below]
    os.utime(one.parent / FILE_NAME, ns=(1, 1))
    assert list(files.changed(folders)) == [one, below]
    (two / FILE_NAME).unlink()
    (below / FILE_NAME).write_text("")
    assert list(files.changed(folders)) == [below, two]


def test_a_file_above_the_watched_folder_is_nobodys(folders: list[Path]) -> None:
    files = watched(folders[0].parent, datetime.now(UTC))
    assert list(files.changed(folders)) == []
    (folders[0].parent.parent / FILE_NAME).write_text("")
    assert list(files.changed(folders)) == []


def test_a_list_of_sitters_that_changes_concerns_the_same_folders(folders: list[Path]) -> None:
    one, below, _ = folders
    (one / FILE_NAME).write_text('sitter_list = "list.csv"\n')
    files = watched(one.parent, datetime.now(UTC) + timedelta(hours=1))
    assert list(files.changed(folders)) == []
    (one / "list.csv").write_text("17\n")
    assert list(files.changed(folders)) == [one, below]
    (one / "list.csv").unlink()
    assert list(files.changed(folders)) == [one, below]
