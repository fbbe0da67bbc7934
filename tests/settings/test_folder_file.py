"""`eyeline.toml` in a watched folder: genres and sitting, and nothing that could alter originals."""

import os
from pathlib import Path

import pytest

from eyeline.settings.folder_file import FILE_NAME, SET_ELSEWHERE, UNTIL_THEN, FolderFile, folder_file

KNOWN = {"corporate headshot", "team page"}


def written(folder: Path, text: str) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / FILE_NAME
    path.write_text(text)
    return path


def test_a_folder_chooses_genres_and_names_its_sitting(tmp_path: Path) -> None:
    path = written(tmp_path, 'genres = ["team page"]\nsitting = "Example Ltd, morning"\n')
    assert folder_file(tmp_path, tmp_path, KNOWN) == FolderFile(path, ("team page",), "Example Ltd, morning")


def test_a_folder_that_says_nothing_has_the_defaults(tmp_path: Path) -> None:
    assert folder_file(tmp_path, tmp_path, KNOWN) == FolderFile()


def test_the_nearest_file_counts_and_none_above_the_watched_folder(tmp_path: Path) -> None:
    root, inner = tmp_path / "root", tmp_path / "root" / "a" / "b"
    inner.mkdir(parents=True)
    written(tmp_path, 'sitting = "outside"')
    assert folder_file(inner, root, KNOWN) == FolderFile()
    written(root, 'sitting = "root"')
    assert folder_file(inner, root, KNOWN).sitting == "root"
    written(root / "a", 'sitting = "a"')
    assert folder_file(inner, root, KNOWN).sitting == "a"
    assert folder_file(tmp_path / "other", root, KNOWN) == FolderFile()


@pytest.mark.parametrize("key", sorted(SET_ELSEWHERE))
def test_how_and_where_to_write_is_not_for_a_folder_to_say(tmp_path: Path, key: str) -> None:
    written(tmp_path, f'genres = ["team page"]\n{key} = "embedded"\n')
    read = folder_file(tmp_path, tmp_path, KNOWN)
    assert read.genres == () and read.sitting is None
    assert read.fault is not None
    assert f"line 2: {key}: is set in the configuration only" in str(read.fault)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("genres = [", "not TOML"),
        (
            '\ngenres = ["team pag"]',
            "line 2: genres[0]: no genre is called \"team pag\"; did you mean 'team page'?",
        ),
        ("sitting = 1", "line 1: sitting: expected text on one line, found 1"),
        ('sitting = "a\\u001bb"', "line 1: sitting: expected text on one line"),
        ('siting = "Monday"', "line 1: siting: unknown key; did you mean 'sitting'?"),
        ("nonsense = 1", "line 1: nonsense: unknown key; known are 'genres', 'sitting', 'sitters',"),
        ("x" * 70_000, "65,536"),
        ("a = " + "[" * 30_000, "nested more than 32 deep"),
    ],
)
def test_a_broken_file_is_told_with_what_follows(tmp_path: Path, text: str, told: str) -> None:
    path = written(tmp_path, text)
    read = folder_file(tmp_path, tmp_path, KNOWN)
    assert (read.genres, read.sitting, read.path) == ((), None, path)
    assert read.fault is not None and told in str(read.fault) and str(path) in str(read.fault)
    assert str(read.fault).endswith(f"; {UNTIL_THEN}.")


def test_a_pipe_of_that_name_holds_nobody_up(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / FILE_NAME)
    assert folder_file(tmp_path, tmp_path, KNOWN).fault is not None
