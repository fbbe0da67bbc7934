"""On which line each key of a TOML text stands; tomllib does not tell."""

from __future__ import annotations

from eyeline.judging.mistake import Key

_BARE_ENDS = " \t.=]"
_VALUE_ENDS = ",]}\n#"


def lines_of(text: str) -> dict[Key, int]:
    """Line, from 1, of every table, key and array element of `text`, which tomllib must have accepted."""
    scanner = _Scanner(text.replace("\r\n", "\n"))
    scanner.document()
    return scanner.lines


class _Scanner:
    """A walk over valid TOML that reads keys and skips values."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.place = 0
        self.lines: dict[Key, int] = {}
        self._array_sizes: dict[Key, int] = {}

    def document(self) -> None:
        table: Key = ()
        while self._skip_blank():
            if self.text.startswith("[[", self.place):
                self.place += 2
                name = self._within_arrays(self._key())
                count = self._array_sizes.get(name, 0)
                self._array_sizes[name] = count + 1
                table = (*name, count)
                self._note(table)
                self.place += 2
            elif self.text[self.place] == "[":
                self.place += 1
                table = self._within_arrays(self._key())
                self._note(table)
                self.place += 1
            else:
                self._pair(table)

    def _note(self, key: Key) -> None:
        line = self.text.count("\n", 0, self.place) + 1
        for length in range(1, len(key) + 1):
            self.lines.setdefault(key[:length], line)

    def _within_arrays(self, name: Key) -> Key:
        """`name` with the place of the latest element put in after each array of tables on its way."""
        way: Key = ()
        for index, part in enumerate(name):
            way = (*way, part)
            if way in self._array_sizes and index < len(name) - 1:
                way = (*way, self._array_sizes[way] - 1)
        return way

    def _skip_blank(self) -> bool:
        """Skip blanks, line ends and comments; False at the end of the text."""
        while self.place < len(self.text):
            character = self.text[self.place]
            if character == "#":
                end = self.text.find("\n", self.place)
                self.place = len(self.text) if end < 0 else end
            elif character in " \t\n\ufeff":
                self.place += 1
            else:
                return True
        return False

    def _skip_spaces(self) -> None:
        while self.place < len(self.text) and self.text[self.place] in " \t":
            self.place += 1

    def _key(self) -> Key:
        parts: list[str] = []
        while True:
            self._skip_spaces()
            quote = self.text[self.place]
            start = self.place
            if quote in "\"'":
                self._string()
                parts.append(self.text[start + 1 : self.place - 1])
            else:
                while self.text[self.place] not in _BARE_ENDS:
                    self.place += 1
                parts.append(self.text[start : self.place])
            self._skip_spaces()
            if self.text[self.place] != ".":
                return tuple(parts)
            self.place += 1

    def _pair(self, table: Key) -> None:
        start = self.place
        key = (*table, *self._key())
        end, self.place = self.place, start
        self._note(key)
        self.place = end + 1  # past the equals sign
        self._value(key)

    def _value(self, key: Key) -> None:
        self._skip_spaces()
        match self.text[self.place]:
            case '"' | "'":
                self._string()
            case "[":
                self.place += 1
                index = 0
                while self._skip_blank() and self.text[self.place] != "]":
                    if self.text[self.place] == ",":
                        self.place += 1
                        continue
                    self._note((*key, index))
                    self._value((*key, index))
                    index += 1
                self.place += 1
            case "{":
                self.place += 1
                while self._skip_blank() and self.text[self.place] != "}":
                    if self.text[self.place] == ",":
                        self.place += 1
                        continue
                    self._pair(key)
                self.place += 1
            case _:
                while self.place < len(self.text) and self.text[self.place] not in _VALUE_ENDS:
                    self.place += 1

    def _string(self) -> None:
        quote = self.text[self.place]
        mark = quote * 3 if self.text.startswith(quote * 3, self.place) else quote
        self.place += len(mark)
        while not self.text.startswith(mark, self.place):
            self.place += 2 if quote == '"' and self.text[self.place] == "\\" else 1
        self.place += len(mark)
        while len(mark) == 3 and self.text.startswith(quote, self.place):
            self.place += 1  # a quote that belongs to the text just before the closing mark
