"""Argument hygiene: what may be said to ExifTool on its argument stream, one argument a line.

The stream is line based, so a newline inside a value would start a new argument (and with it any
option); a line that begins with `#` is a comment; blanks at the start of a line are dropped; a bare
`--` or `-execute` breaks the protocol. Everything passes through here, and only two shapes pass:
the absolute path of a file, and an assignment `-Group:Tag=value` (also `+=` and `-=`).
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from pathlib import Path

from eyeline.errors import ExifToolFailed

_TAG = re.compile(r"[A-Za-z0-9-]*[A-Za-z0-9](:[A-Za-z0-9][A-Za-z0-9-]*)?")
_ASSIGNMENT = re.compile(r"-[A-Za-z][A-Za-z0-9-]*:[A-Za-z0-9][A-Za-z0-9-]*[+-]?=.*", re.DOTALL)
_NEEDS_ESCAPE = re.compile(rb"\A#|[\n\r]")
_BROKEN_BY_ESCAPE = re.compile(rb"[$@]")


def path_argument(path: Path) -> bytes:
    """`path`, made absolute, as bytes for the argument stream; undecodable names keep their bytes.

    An absolute path starts with a slash, so it is never taken for an option, a comment or the empty
    argument. Raises ExifToolFailed for the few names that cannot be passed at all.
    """
    raw = os.fsencode(path.absolute())
    return _escaped(raw, path)


def tag_arguments(tags: Iterable[str]) -> list[bytes]:
    """`-Group:Tag` for every tag to read. Raises ValueError for what is no tag name."""
    tags = list(tags)
    for tag in tags:
        if not _TAG.fullmatch(tag) or tag.startswith("-"):
            raise ValueError(f"not a tag name: {tag!r}")
    return [f"-{tag}".encode("ascii") for tag in tags]


def assignment_arguments(assignments: Iterable[str]) -> list[bytes]:
    """Each assignment as bytes. Raises ValueError for anything but `-Group:Tag=`, `+=` or `-=`."""
    encoded = []
    for assignment in assignments:
        if not _ASSIGNMENT.fullmatch(assignment):
            raise ValueError(f"not an assignment to a tag with its group: {assignment!r}")
        encoded.append(_escaped(assignment.encode("utf-8"), None))
    return encoded


def _escaped(raw: bytes, path: Path | None) -> bytes:
    if b"\0" in raw:
        raise ValueError("a NUL byte can be neither in a path nor in a value")
    if not _NEEDS_ESCAPE.search(raw):
        return raw
    if _BROKEN_BY_ESCAPE.search(raw):
        # ExifTool's C-string form puts a backslash before $ and @ and never takes it away again
        # (seen in 12.57), so a line break together with one of these cannot be said.
        raise ExifToolFailed(
            "A line break together with a dollar or at sign cannot be passed to ExifTool",
            path,
            "Rename the file or its folder",
        )
    escaped = raw.replace(b"\\", b"\\\\").replace(b"\n", b"\\n").replace(b"\r", b"\\r")
    return b"#[CSTR]" + escaped
