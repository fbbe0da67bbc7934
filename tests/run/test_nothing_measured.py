"""What is said where nothing is measured of what was named: what is amiss, and the command that mends it."""

from __future__ import annotations

from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.run.nothing_measured import check_folders, nothing_measured


def test_a_misspelt_folder_is_not_there(tmp_path: Path) -> None:
    nowhere = tmp_path / "monady"
    assert str(nothing_measured([tmp_path, nowhere])) == (
        f"{nowhere}: this path is not there. Correct its name, or connect its disk."
    )


def test_folders_without_a_measured_photo_are_told_with_the_command_to_type(tmp_path: Path) -> None:
    folder = tmp_path / "two words"
    folder.mkdir()
    assert str(nothing_measured([folder, tmp_path], " --dry-run")) == (
        f"{folder}: nothing in it is measured yet. Run: eyeline run '{folder}' {tmp_path} --dry-run"
    )


def test_a_photo_is_no_folder(tmp_path: Path) -> None:
    photo = tmp_path / "NL1_1000.jpg"
    photo.touch()
    check_folders([tmp_path])
    with pytest.raises(BadConfiguration, match="this is no folder"):
        check_folders([tmp_path, photo])


def test_a_photo_that_was_never_measured_is_told_with_the_command_too(tmp_path: Path) -> None:
    photo = tmp_path / "NL1_1000.jpg"
    photo.touch()
    assert str(nothing_measured([photo])).endswith(
        f": nothing of it is measured yet. Run: eyeline run {photo}"
    )
