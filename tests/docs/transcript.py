"""What a page of the docs shows of a terminal: blocks of ```console, commands after "$ ", then their words.

In what is printed "..." stands for anything on its line, and on a line of its own for any lines. Dates,
digests and sizes of files are compared as if they were one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

COMMAND, MORE = "$ ", "> "
"""What a shell shows before a command, and before its further lines."""

ANY = "..."

_BLOCK = re.compile(r"(^```console\n)(.*?)(^```$)", re.MULTILINE | re.DOTALL)

_VOLATILE = (
    (re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d"), "2026-11-30 09:15"),
    (re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?"), "2026-11-30T09:15:00"),
    (re.compile(r"\b\d\d-\d\d \d\d:\d\d\b"), "11-30 09:15"),
    (re.compile(r"\b\d{1,2} (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b"), "30 Nov"),
    (re.compile(r"\brules [0-9a-f]{8}\b"), "rules 4e0ba217"),
    (re.compile(r"\(\d+\.\d MB\)"), "(0.7 MB)"),
)
"""What another day or another rule file changes, and how it is shown."""


@dataclass(frozen=True, slots=True)
class Step:
    """A command with what the page says that it prints, both as text without the prompt."""

    command: str
    printed: str


def blocks(page: str) -> list[list[Step]]:
    """The steps of each block of `page`."""
    return [list(_steps(match[2])) for match in _BLOCK.finditer(page)]


def _steps(block: str) -> Iterator[Step]:
    command: list[str] = []
    printed: list[str] = []
    for line in block.splitlines():
        if line.startswith(COMMAND):
            if command:
                yield Step("\n".join(command), "\n".join(printed))
            command, printed = [line.removeprefix(COMMAND)], []
        elif command and not printed and f"{line} ".startswith(MORE):
            command.append(line.removeprefix(MORE.rstrip()).removeprefix(" "))
        else:
            printed.append(line)
    if command:
        yield Step("\n".join(command), "\n".join(printed))


def settled(printed: str) -> str:
    """`printed` with what is volatile in it as it is always shown, and no blanks at the ends of lines."""
    for pattern, shown in _VOLATILE:
        printed = pattern.sub(shown, printed)
    return "\n".join(line.rstrip() for line in printed.splitlines()).strip("\n")


def says(shown: str, printed: str) -> bool:
    """Whether a page that has `shown` is right about `printed`."""
    pattern = ""
    for line in settled(shown).splitlines():
        if line.strip() == ANY:
            pattern += r"(?:[^\n]*\n)*?"
        else:
            pattern += re.escape(line).replace(re.escape(ANY), r"[^\n]*") + r"\n"
    text = settled(printed)
    return re.fullmatch(pattern, f"{text}\n" if text else "") is not None


def with_printed(page: str, printed: list[list[str]]) -> str:
    """`page` with what its commands have `printed`, where it is not right about it already."""
    rest = iter(printed)

    def written(match: re.Match[str]) -> str:
        lines: list[str] = []
        for step, now in zip(_steps(match[2]), next(rest), strict=True):
            first, *more = step.command.splitlines()
            lines += [COMMAND + first, *((MORE + line).rstrip() for line in more)]
            shown = step.printed if says(step.printed, now) else settled(now)
            lines += shown.splitlines()
        return match[1] + "".join(f"{line}\n" for line in lines) + match[3]

    return _BLOCK.sub(written, page)
