"""A TOML file by a person's hand: read with care, its faults told all at once, each with its line."""

from __future__ import annotations

import difflib
import os
import reprlib
import stat
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from eyeline.errors import BadConfiguration
from eyeline.toml_files.lines import KeyPath, key_lines, line_of

_LONGEST_SHOWN = 80  # characters of a name or value in a message: one line of a terminal
_SHORTENED = reprlib.Repr()
_SHORTENED.maxstring = _SHORTENED.maxother = _LONGEST_SHOWN
LARGEST_BYTES = 65_536  # a hundred times what a long file needs; a watched folder may hold anything


@dataclass(slots=True)
class TomlFile:
    """One file, parsed: `content` by the standard parser, `lines` of its keys; collects its faults."""

    path: Path
    content: dict[str, Any]
    lines: Mapping[KeyPath, int]
    faults: list[tuple[int, str]] = field(default_factory=list)

    def fault(self, key: KeyPath, what: str) -> None:
        """Note that `what` is wrong at `key`."""
        self.faults.append((line_of(self.lines, key), what))

    def refuse(self, cure: str) -> None:
        """Raise one BadConfiguration that tells all faults in the order of their lines, if any."""
        if not self.faults:
            return
        told = [f"line {line}: {what}" for line, what in sorted(self.faults)]
        what = told[0] if len(told) == 1 else "\n  ".join([f"{len(told)} faults", *told])
        raise BadConfiguration(what, self.path, cure)


def read_toml(path: Path) -> TomlFile:
    """Read `path`. Raises BadConfiguration, FileNotFoundError."""
    try:
        text = _bytes(path).decode("utf-8-sig")  # some editors put a byte order mark first
        return TomlFile(path, tomllib.loads(text), key_lines(text))
    except FileNotFoundError:
        raise
    except OSError as error:
        raise BadConfiguration(f"it cannot be read: {error.strerror}", path, "Make it readable") from error
    except UnicodeDecodeError as error:
        line = error.object.count(b"\n", 0, error.start) + 1
        raise BadConfiguration(f"line {line}: this is no UTF-8", path, "Save it as UTF-8 text") from error
    except (ValueError, RecursionError) as error:  # ValueError: also a number of thousands of digits
        raise BadConfiguration(f"this is no TOML: {error}", path, "Mend what is named") from error


def nearest(word: str, known: Iterable[str]) -> str:
    """`did you mean ...?` with the known word nearest to `word`; all of them where none is near."""
    names = sorted(known)
    near = difflib.get_close_matches(word[:_LONGEST_SHOWN], names, n=1)
    return f"did you mean {near[0]!r}?" if near else f"known are {', '.join(map(repr, names))}"


def shown(value: object) -> str:
    """`value` as it may appear in a message: escaped and of bounded length."""
    try:
        return _SHORTENED.repr(value)
    except ValueError:  # Python writes no number of more than some thousand digits
        return "a number of thousands of digits"


def _bytes(path: Path) -> bytes:
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK)  # a pipe of that name must not hold us up
    try:
        status = os.fstat(descriptor)
        if not stat.S_ISREG(status.st_mode):
            raise BadConfiguration("this is no file", path, "Put a TOML file there, or nothing")
        if status.st_size > LARGEST_BYTES:
            raise BadConfiguration(
                f"it has {status.st_size} bytes, and at most {LARGEST_BYTES} are read", path, "Shorten it"
            )
        return os.read(descriptor, LARGEST_BYTES)
    finally:
        os.close(descriptor)
