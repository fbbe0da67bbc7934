"""Photos that are judged together come together out of a walk, each once."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from eyeline.deciding.shoot import Shoot, shoots
from eyeline.intake.catch_up import catch_up
from eyeline.intake.obstacle import Obstacle
from eyeline.sitting.exposures import home

FOLDERS = st.lists(st.sampled_from(["a", "b", "RAW", "jpg"]), max_size=3).map(lambda parts: Path(*parts))
FILES = st.sampled_from(["1.jpg", "2.jpg", "1.cr3"])


def made(root: Path, *names: str | Path) -> None:
    for name in names:
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).touch()


def found(*paths: Path) -> list[Shoot]:
    everything = list(shoots(catch_up(paths), paths))
    assert not any(isinstance(each, Obstacle) for each in everything)
    return [each for each in everything if isinstance(each, Shoot)]


def names(shoot: Shoot, root: Path) -> list[str]:
    return [str(path.relative_to(root)) for path in shoot.photos]


def test_folders_for_kinds_belong_to_the_folder_above(tmp_path: Path) -> None:
    made(tmp_path, "JPG/1.jpg", "RAW/1.cr3", "2.jpg", "album/3.jpg")
    first, second = found(tmp_path)
    assert (first.home, names(first, tmp_path)) == (tmp_path / "album", ["album/3.jpg"])
    assert (second.home, names(second, tmp_path)) == (tmp_path, ["2.jpg", "JPG/1.jpg", "RAW/1.cr3"])


def test_a_shoot_comes_before_the_walk_goes_on(tmp_path: Path) -> None:
    made(tmp_path, "a/1.jpg", "a/deep/2.jpg", "b/3.jpg")
    seen = []

    def walk() -> object:
        for each in catch_up([tmp_path]):
            seen.append(each)
            yield each

    first = next(shoots(walk(), [tmp_path]))  # type: ignore[arg-type]
    assert isinstance(first, Shoot) and names(first, tmp_path) == ["a/1.jpg"]
    assert len(seen) == 2, "one file of the next folder was looked at"


def test_single_files_of_one_folder_come_together(tmp_path: Path) -> None:
    made(tmp_path, "a/1.jpg", "b/2.jpg", "a/3.jpg")
    paths = [tmp_path / "a/1.jpg", tmp_path / "b/2.jpg", tmp_path / "a/3.jpg"]
    assert [names(shoot, tmp_path) for shoot in found(*paths)] == [["a/1.jpg", "a/3.jpg"], ["b/2.jpg"]]


@given(files=st.sets(st.tuples(FOLDERS, FILES), max_size=12))
def test_each_photo_comes_once_and_with_all_of_its_home(
    tmp_path_factory: object, files: set[tuple[Path, str]]
) -> None:
    root = tmp_path_factory.mktemp("tree")  # type: ignore[attr-defined]
    paths = [root / folder / name for folder, name in files]
    made(root, *paths)
    come = found(root)
    assert sorted(path for shoot in come for path in shoot.photos) == sorted(paths)
    assert all(Path(home(path.parent)) == shoot.home for shoot in come for path in shoot.photos)
    assert len({shoot.home for shoot in come}) == len(come)
