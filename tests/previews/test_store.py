"""Small versions on disk: whole, private, bounded, and nobody else's file is ever touched."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from eyeline.previews.drawing import Kind
from eyeline.previews.store import Bound, Previews

JPEG = b"\xff\xd8" + bytes(96) + b"\xff\xd9"


def name(number: int) -> str:
    return f"{number:02x}" * 16


def keep(previews: Previews, number: int, orientation: int = 1) -> Path:
    """Keep 100 bytes of photo `number`, taken for `number` seconds old."""
    previews.keep(name(number), orientation, {Kind.SMALL: JPEG})
    path = previews.file(name(number), orientation, Kind.SMALL)
    assert path is not None
    os.utime(path, (10_000 + number, 10_000 + number))
    return path


@pytest.fixture
def previews(tmp_path: Path) -> Previews:
    return Previews(tmp_path / "cache" / "previews", 1_000)


def test_what_is_kept_is_found_by_digest_orientation_and_kind(previews: Previews) -> None:
    path = keep(previews, 7, orientation=6)
    assert path.read_bytes() == JPEG
    assert previews.file(name(7), 1, Kind.SMALL) is None
    assert previews.file(name(7), 6, Kind.LARGE) is None
    assert previews.size() == (1, len(JPEG))


def test_it_is_private_to_the_user(previews: Previews) -> None:
    path = keep(previews, 1)
    assert path.stat().st_mode & 0o777 == 0o600
    assert {each.stat().st_mode & 0o777 for each in (path.parent, previews.folder)} == {0o700}


@pytest.mark.parametrize("left", [b"", JPEG[:50], b"\xff"])
def test_a_file_that_a_power_failure_cut_short_is_none(previews: Previews, left: bytes) -> None:
    keep(previews, 1).write_bytes(left)
    assert previews.file(name(1), 1, Kind.SMALL) is None


def test_the_oldest_go_first_where_the_bound_is_passed(previews: Previews) -> None:
    for number in range(12):
        keep(previews, number)
    assert previews.prune() == 300
    left = [number for number in range(12) if previews.file(name(number), 1, Kind.SMALL)]
    assert left == list(range(3, 12))
    assert previews.prune() == 0


def test_the_bound_holds_while_photos_come(previews: Previews) -> None:
    bound = Bound(previews)
    for number in range(40):
        keep(previews, number)
        bound.grew(len(JPEG))
        assert previews.size()[1] <= previews.most_bytes


def test_files_of_others_neither_count_nor_go(previews: Previews) -> None:
    """Somebody may let `previews` point to a folder that holds photos."""
    foreign = [
        previews.folder / "holiday.jpg",
        previews.folder / "ab" / "holiday.jpg",
        previews.folder / "ab" / f"{name(5)}.jpg",
        previews.folder / "abc" / f"{name(5)}-1.small.jpg",
    ]
    for path in foreign:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(bytes(5_000))
        os.utime(path, (1, 1))
    for number in range(20):
        keep(previews, number)
    assert previews.prune() > 0
    assert all(path.stat().st_size == 5_000 for path in foreign)


def test_forgetting_erases_all_kinds_of_a_photo_and_of_no_other(previews: Previews) -> None:
    previews.keep(name(1), 1, dict.fromkeys(Kind, JPEG))
    keep(previews, 2)
    assert previews.forget([(name(1), 1), (name(3), 1)]) == 1
    assert previews.size() == (1, len(JPEG))


def test_a_bound_of_nothing_keeps_nothing(tmp_path: Path) -> None:
    none = Previews(tmp_path / "previews", 0)
    assert none.keep(name(1), 1, {Kind.SMALL: JPEG}) == 0
    assert not none.folder.exists()


def test_what_cannot_be_written_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "previews").write_text("a file stands where the folder should be")
    with pytest.raises(OSError):
        Previews(tmp_path / "previews", 1_000).keep(name(1), 1, {Kind.SMALL: JPEG})
    assert [path.name for path in tmp_path.iterdir()] == ["previews"]
