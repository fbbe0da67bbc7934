"""Watched paths that overlap, are links, or are not there."""

from __future__ import annotations

from pathlib import Path

from eyeline.intake.roots import outermost, root_of


def test_a_folder_inside_another_is_covered(tmp_path: Path) -> None:
    inside = tmp_path / "a" / "b"
    assert outermost([inside, tmp_path / "a", tmp_path / "a", inside / "c.jpg"]) == (tmp_path / "a",)


def test_a_folder_whose_name_merely_begins_alike_is_not(tmp_path: Path) -> None:
    paths = (tmp_path / "a", tmp_path / "a b")
    assert outermost(paths) == paths


def test_a_folder_behind_a_hidden_one_stands_for_itself(tmp_path: Path) -> None:
    paths = (tmp_path, tmp_path / ".cache" / "inbox")
    assert outermost(paths) == paths


def test_links_are_resolved_and_relative_paths_made_absolute(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to("real")
    assert outermost([tmp_path / "link", tmp_path / "real"]) == (tmp_path / "real",)
    assert outermost([Path("somewhere")])[0].is_absolute()


def test_a_path_belongs_to_the_innermost_root() -> None:
    roots = [Path("/a"), Path("/a/.b/c")]
    assert root_of(Path("/a/.b/c/x.jpg"), roots) == Path("/a/.b/c")
    assert root_of(Path("/a/x.jpg"), roots) == Path("/a")
    assert root_of(Path("/a"), roots) == Path("/a")
    assert root_of(Path("/b/x.jpg"), roots) is None
