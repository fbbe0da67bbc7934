"""Which file names are photos, which are sidecars, and which files and folders are passed over.

Everything here judges by name alone; nothing is opened.
"""

from __future__ import annotations

from pathlib import Path, PurePath
from types import MappingProxyType

# Suffix (lower case) to kind. A new kind is one more line here and one reader in `reading.open_photo`.
PHOTO_KINDS = MappingProxyType(
    {
        ".jpg": "JPEG",
        ".jpeg": "JPEG",
        ".jpe": "JPEG",
        ".png": "PNG",
        ".tif": "TIFF",
        ".tiff": "TIFF",
        ".heic": "HEIF",
        ".heif": "HEIF",
        ".hif": "HEIF",
        ".dng": "RAW",
        ".cr2": "RAW",
        ".cr3": "RAW",
        ".nef": "RAW",
        ".arw": "RAW",
        ".raf": "RAW",
        ".orf": "RAW",
        ".rw2": "RAW",
        ".pef": "RAW",
    }
)

SIDECAR_SUFFIX = ".xmp"

# What programs append while they write, or leave beside a photo as its former state.
_PASSING_ENDINGS = MappingProxyType(
    {
        "~": "a backup copy",
        ".part": "a partial copy",
        ".partial": "a partial copy",
        ".filepart": "a partial copy",
        ".crdownload": "a partial copy",
        ".download": "a partial copy",
        ".tmp": "a temporary file",
        ".temp": "a temporary file",
        "_exiftool_tmp": "a temporary file",
        "_original": "a backup copy",
        ".bak": "a backup copy",
    }
)
# `~$name` and `~name`: files in use by office programs and copies under way; `#name#`: autosaved.
_PASSING_BEGINNINGS = MappingProxyType({"~": "a temporary file", "#": "a temporary file"})

# Lower case. What operating systems drop into folders, on disks, cards and network storage.
_SYSTEM_FILES = frozenset({"thumbs.db", "ehthumbs.db", "desktop.ini", "icon\r"})
_SYSTEM_FOLDERS = frozenset(
    {
        "$recycle.bin",
        "recycler",
        "recycled",
        "system volume information",
        "lost+found",
        "network trash folder",
        "temporary items",
        "__macosx",
        "@eadir",
        "@recycle",
        "@recently-snapshot",
        "#recycle",
        "#snapshot",
        "~snapshot",
    }
)


def photo_kind(name: str) -> str | None:
    """The kind of photo that a file of this `name` is taken for, or None if it is not to be touched."""
    if why_file_ignored(name) is not None:
        return None
    return PHOTO_KINDS.get(PurePath(name).suffix.lower())


def is_sidecar(name: str) -> bool:
    """Whether a file of this `name` is an XMP sidecar, ours or another program's."""
    return PurePath(name).suffix.lower() == SIDECAR_SUFFIX


def why_file_ignored(name: str) -> str | None:
    """What makes a file of this `name` one to pass over (`a hidden file`, ...), else None.

    Says nothing about kinds: a text file is not ignored, it merely is no photo.
    """
    lower = name.lower()
    if name.startswith("."):  # also our own `.eyeline-*`, and the `._*` twins of foreign file systems
        return "a hidden file"
    if is_sidecar(name):
        return "a sidecar"
    if lower in _SYSTEM_FILES:
        return "a file of the operating system"
    for beginning, what in _PASSING_BEGINNINGS.items():
        # `#1.jpg` is a photo: an autosaved file has the sign on both sides.
        if lower.startswith(beginning) and (beginning != "#" or lower.endswith("#")):
            return what
    for ending, what in _PASSING_ENDINGS.items():
        if lower.endswith(ending):
            return what
    return None


def why_folder_ignored(name: str) -> str | None:
    """What makes a folder of this `name` one not to enter, else None."""
    if name.startswith("."):  # also the trash and index folders of most systems
        return "a hidden folder"
    if name.lower() in _SYSTEM_FOLDERS:
        return "a folder of the operating system"
    return None


def is_wanted(path: Path, root: Path) -> bool:
    """Whether `path` is named as a photo, and no folder between it and the watched `root` is ignored.

    Folders above `root` are the user's own choice and are not judged.
    """
    try:
        between = path.relative_to(root).parts[:-1]
    except ValueError:
        return False
    return photo_kind(path.name) is not None and not any(map(why_folder_ignored, between))
