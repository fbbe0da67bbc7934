"""Which names are photos, sidecars, or passed over."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.intake.names import (
    PHOTO_KINDS,
    is_sidecar,
    is_wanted,
    photo_kind,
    why_file_ignored,
    why_folder_ignored,
)


@pytest.mark.parametrize(
    "name",
    [
        "IMG_1.jpg",
        "IMG_1.JPG",
        "IMG_1.Jpeg",
        "scan.jpe",
        "two.dots.jpg",
        "a b.jpg",
        "-rf.jpg",
        "new\nline.jpg",
        "not utf-8 \udcff.jpg",
        "#1.jpg",
        "portrait_original.jpg",
        "tmp.jpg",
        "x" * 251 + ".jpg",
    ],
)
def test_photos(name: str) -> None:
    assert photo_kind(name) == "JPEG"
    assert why_file_ignored(name) is None


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("a.png", "PNG"),
        ("a.TIF", "TIFF"),
        ("a.tiff", "TIFF"),
        ("IMG_1.HEIC", "HEIF"),
        *((f"IMG_1.{suffix}", "RAW") for suffix in "dng CR2 cr3 NEF arw RAF orf RW2 pef".split()),
    ],
)
def test_photos_of_other_kinds(name: str, kind: str) -> None:
    assert photo_kind(name) == kind
    assert why_file_ignored(name) is None


@pytest.mark.parametrize("name", ["IMG_1", "jpg", "IMG_1.txt", "IMG_1.jpg.zip", "IMG_1.jpg ", ""])
def test_other_files_are_no_photos_yet_not_ignored(name: str) -> None:
    assert photo_kind(name) is None
    assert why_file_ignored(name) is None


@pytest.mark.parametrize(
    ("name", "why"),
    [
        (".IMG_1.jpg", "a hidden file"),
        ("._IMG_1.jpg", "a hidden file"),
        (".IMG_1.jpg.Xq3f9a", "a hidden file"),
        (".eyeline-IMG_1.xmp", "a hidden file"),
        ("IMG_1.jpg.part", "a partial copy"),
        ("IMG_1.jpg.PART", "a partial copy"),
        ("IMG_1.jpg.crdownload", "a partial copy"),
        ("IMG_1.jpg.tmp", "a temporary file"),
        ("IMG_1.jpg_exiftool_tmp", "a temporary file"),
        ("~IMG_1.jpg", "a temporary file"),
        ("#IMG_1.jpg#", "a temporary file"),
        ("IMG_1.jpg~", "a backup copy"),
        ("IMG_1.jpg_original", "a backup copy"),
        ("IMG_1.xmp", "a sidecar"),
        ("IMG_1.jpg.XMP", "a sidecar"),
        ("Thumbs.db", "a file of the operating system"),
        ("Desktop.ini", "a file of the operating system"),
    ],
)
def test_ignored_files(name: str, why: str) -> None:
    assert why_file_ignored(name) == why
    assert photo_kind(name) is None


def test_sidecars() -> None:
    assert is_sidecar("IMG_1.xmp")
    assert is_sidecar("IMG_1.jpg.XMP")
    assert not is_sidecar("IMG_1.jpg")


@pytest.mark.parametrize(
    "name",
    [
        ".git",
        ".Trash-1000",
        ".Trashes",
        "$RECYCLE.BIN",
        "System Volume Information",
        "lost+found",
        "#recycle",
    ],
)
def test_folders_not_entered(name: str) -> None:
    assert why_folder_ignored(name) is not None


@pytest.mark.parametrize(
    "name", ["2026-11-25", "RAW", "x.jpg", "#1 team", "@ the office", "~ rejects", "recycle"]
)
def test_folders_entered(name: str) -> None:
    assert why_folder_ignored(name) is None


def test_only_folders_below_the_watched_one_are_judged() -> None:
    root = Path("/home/me/.studio")
    assert is_wanted(root / "a.jpg", root)
    assert is_wanted(root / "day 1" / "a.jpg", root)
    assert not is_wanted(root / ".cache" / "a.jpg", root)
    assert not is_wanted(root / "day 1" / "a.xmp", root)
    assert not is_wanted(Path("/home/me/a.jpg"), root)


@given(st.text(alphabet=st.characters(exclude_characters="/\0"), min_size=1))
def test_any_name_gets_an_answer(name: str) -> None:
    kind = photo_kind(name)
    assert kind is None or kind in PHOTO_KINDS.values()
    why_folder_ignored(name)
