"""A TOML file on disk: read with care, refused with all its mistakes at once, each with its line."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import TypeVar

from eyeline.errors import BadConfiguration
from eyeline.toml_files.bounds import LARGEST_CHARACTERS
from eyeline.toml_files.mistake import Mistake
from eyeline.toml_files.parse import NoToml, Parsed, parse

Table = TypeVar("Table")
LARGEST_BYTES = 4 * LARGEST_CHARACTERS
"""UTF-8 takes at most four bytes for a character."""


def read_file(path: Path, kind: type[Table]) -> Parsed[Table]:
    """The file at `path` as a table of the grammar, and what is wrong with it.

    Raises BadConfiguration where it cannot be read or is no TOML at all, FileNotFoundError.
    """
    try:
        return parse(str(path), read_text(path), kind)
    except NoToml as error:
        raise BadConfiguration(_line(error.mistake), path, "Mend what is named") from error


def read_text(path: Path) -> str:
    """The text of a person's file. Raises BadConfiguration, FileNotFoundError."""
    try:
        return _bytes(path).decode("utf-8-sig")  # some editors put a byte order mark first
    except FileNotFoundError:
        raise
    except OSError as error:
        raise BadConfiguration(f"it cannot be read: {error.strerror}", path, "Make it readable") from error
    except UnicodeDecodeError as error:
        line = error.object.count(b"\n", 0, error.start) + 1
        raise BadConfiguration(f"line {line}: this is no UTF-8", path, "Save it as UTF-8 text") from error


def refuse_mistakes(path: Path, mistakes: list[Mistake], cure: str) -> None:
    """Raise one BadConfiguration that lists all `mistakes` of the file at `path`, if there are any."""
    lines = [_line(each) for each in mistakes]
    if lines:
        what = lines[0] if len(lines) == 1 else "\n  ".join(["these lines are wrong:", *lines])
        raise BadConfiguration(what, path, cure)


def _line(mistake: Mistake) -> str:
    return mistake.text if mistake.line is None else f"line {mistake.line}: {mistake.text}"


def _bytes(path: Path) -> bytes:
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK)  # a pipe of that name must not hold us up
    try:
        status = os.fstat(descriptor)
        if not stat.S_ISREG(status.st_mode):
            raise BadConfiguration("this is no file", path, "Put a TOML file there, or nothing")
        if status.st_size > LARGEST_BYTES:
            what = f"it has {status.st_size:,} bytes, and at most {LARGEST_CHARACTERS:,} characters are read"
            raise BadConfiguration(what, path, "Shorten it")
        return os.read(descriptor, LARGEST_BYTES)
    finally:
        os.close(descriptor)
