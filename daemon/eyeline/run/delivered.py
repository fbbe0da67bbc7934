"""What became of a file that was to be delivered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.errors import printable
from eyeline.run.delivery_item import FileToMake


@dataclass(frozen=True, slots=True)
class Delivered:
    """What became of one file.

    `state`: "written", "unchanged", "would be written", "not made", "not as promised". `problem`: why not.
    `broken`: what the file as measured again does not keep of its promise: then it has another name, which
    says so. `said`: what a person should know besides.
    `measured`: numbers of the file itself.
    """

    file: FileToMake
    target: Path
    state: str
    problem: str | None = None
    broken: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    quality: int | None = None
    size_bytes: int | None = None
    content: str | None = None
    measured: Mapping[str, float | None] | None = None

    @property
    def is_there(self) -> bool:
        """Whether a file lies there that says what it should."""
        return self.state in ("written", "unchanged")

    @property
    def is_wrong(self) -> bool:
        """Whether a file was to be there and is not."""
        return self.state in ("not made", "not as promised")


def named(delivered: Delivered) -> str:
    """How a file is called in a message: its frame, its line, its size."""
    size = f"{delivered.file.size[0]}×{delivered.file.size[1]}"
    return f"{printable(delivered.file.photo.frame.path.name)}, {printable(delivered.file.line.name)}, {size}"


def said_of_all(done: Sequence[Delivered]) -> list[str]:
    """What is said of every file that is written, where there are several."""
    written = [each for each in done if each.state == "written"]
    if len(written) < 2:
        return []
    return [note for note in written[0].said if all(note in each.said for each in written)]
