"""A photo that is renamed without its sidecar: what lies there under the old name is told, once."""

from __future__ import annotations

from pathlib import Path

from eyeline.exiftool import ExifTool
from eyeline.ledger.records import Problem
from tests.deciding.decider import measured, open_decider, undone


def test_the_sidecar_left_behind_is_told_once_and_can_be_taken_back(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    told: list[Problem] = []
    path = tmp_path / "shoot" / "IMG_1.jpg"
    with open_decider(tmp_path, exiftool, told) as decider:
        list(decider.decide([measured(decider, path, digest="one")]))
        renamed = path.rename(path.with_name("portrait.jpg"))
        decider.ledger.files.gone(path)
        for _ in range(2):
            list(decider.decide([measured(decider, renamed, digest="one")]))
        (problem,) = told
        assert problem.path == path.with_suffix(".xmp")
        assert "IMG_1.jpg" in problem.what and "portrait.jpg" in problem.what
        assert str(path) in problem.cure
        undone(decider, path)
    assert sorted(each.name for each in path.parent.iterdir()) == ["portrait.jpg", "portrait.xmp"]


def test_a_copy_leaves_nothing_behind(exiftool: ExifTool, tmp_path: Path) -> None:
    told: list[Problem] = []
    with open_decider(tmp_path, exiftool, told) as decider:
        for name in ("IMG_1.jpg", "copy.jpg"):
            list(decider.decide([measured(decider, tmp_path / "shoot" / name, digest="one")]))
    assert told == []
