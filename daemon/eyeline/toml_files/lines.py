"""Where in a TOML text each key stands, so that a message about its meaning can name the line.

The standard parser gives a line for faults of syntax only. This finds the line of every key and array
element of a text which that parser accepts; what the values mean is left to it.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping

KeyPath = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})'  # the first three quotes close; up to two before them belong inside
    r"|'''.*?'''(?:'{0,2})"
    r'|"(?:\\.|[^"\\])*"'
    r"|'[^']*'",
    re.DOTALL,
)
_OTHER_VALUE = re.compile(r"[^,\]}#\n]+")  # number, truth value or date, which may hold one space


def key_lines(text: str) -> dict[KeyPath, int]:
    """The line, counted from 1, on which every key path of the TOML `text` is first mentioned.

    A path holds keys as str and positions in arrays (of tables, of values) as int, counted from 0:
    `[[crop]]` and `sizes = [1, 2]` below it give `("crop",)`, `("crop", 0)`, `("crop", 0, "sizes")`,
    `("crop", 0, "sizes", 0)` and so on. Tables that a dotted key or header implies have a line too.

    Raises tomllib.TOMLDecodeError where `text` is no valid TOML, RecursionError where its arrays or
    inline tables are nested hundreds deep.
    """
    tomllib.loads(text)
    return _Walk(text).document()


def line_of(lines: Mapping[KeyPath, int], path: KeyPath) -> int:
    """The line of `path`, or of the nearest table that would hold it; 1 where even that has none."""
    return next((lines[path[:end]] for end in range(len(path), 0, -1) if path[:end] in lines), 1)


class _Walk:
    """One walk over a text that is known to be valid, from its start to its end."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line_ends = [match.start() for match in re.finditer("\n", text)]
        self.lines: dict[KeyPath, int] = {}
        self.tables_in_array: dict[KeyPath, int] = {}

    def document(self) -> dict[KeyPath, int]:
        table: KeyPath = ()
        while self.next_is_not("", _BLANK):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)
        return self.lines

    def header(self) -> KeyPath:
        of_array = self.text.startswith("[[", self.at)
        self.at += 2 if of_array else 1
        *parents, name = self.key()
        self.at += 2 if of_array else 1
        path: KeyPath = ()
        for parent in parents:
            path = self.step(path, parent)
        if not of_array:
            return self.step(path, name)
        path = self.mention((*path, name))
        number = self.tables_in_array.get(path, 0)
        self.tables_in_array[path] = number + 1
        return self.mention((*path, number))

    def step(self, path: KeyPath, name: str) -> KeyPath:
        """From table `path` into `name`; in an array of tables that is its last table so far."""
        inner = self.mention((*path, name))
        number = self.tables_in_array.get(inner, 0)
        return (*inner, number - 1) if number else inner

    def pair(self, table: KeyPath) -> None:
        path = table
        for name in self.key():
            path = self.mention((*path, name))
        self.at += 1  # the equals sign
        self.skip(_SPACE)
        self.value(path)

    def key(self) -> list[str]:
        """The parts of a dotted key; leaves off at what follows it: `=` or `]`."""
        names = []
        while True:
            self.skip(_SPACE)
            if self.text[self.at] in "\"'":
                names.append(str(tomllib.loads(f"key = {self.skip(_STRING)}")["key"]))
            else:
                names.append(self.skip(_BARE_KEY))
            self.skip(_SPACE)
            if self.text[self.at] != ".":
                return names
            self.at += 1

    def value(self, path: KeyPath) -> None:
        match self.text[self.at]:
            case "[":
                self.array(path)
            case "{":
                self.inline_table(path)
            case '"' | "'":
                self.skip(_STRING)
            case _:
                self.skip(_OTHER_VALUE)

    def array(self, path: KeyPath) -> None:
        self.at += 1
        number = 0
        while self.next_is_not("]", _BLANK):
            self.value(self.mention((*path, number)))
            self.comma()
            number += 1
        self.at += 1

    def inline_table(self, path: KeyPath) -> None:
        self.at += 1
        while self.next_is_not("}", _BLANK):
            self.pair(path)
            self.comma()
        self.at += 1

    def comma(self) -> None:
        self.skip(_BLANK)
        if self.text[self.at] == ",":
            self.at += 1

    def next_is_not(self, closing: str, between: re.Pattern[str]) -> bool:
        """Skip what matches `between`; False at `closing` or the end of the text."""
        self.skip(between)
        return self.at < len(self.text) and self.text[self.at] != closing

    def skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        assert match is not None, f"valid TOML, yet {pattern.pattern} does not match at {self.at}"
        self.at = match.end()
        return match.group()

    def mention(self, path: KeyPath) -> KeyPath:
        self.lines.setdefault(path, bisect_right(self.line_ends, self.at - 1) + 1)
        return path
