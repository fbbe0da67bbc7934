"""Where commands speak: strangers' text steers no terminal, and a stream that is gone ends nothing."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any, TextIO

from eyeline.errors import printable

if TYPE_CHECKING:
    from rich.console import Console

_LAYOUT = "\n\t"
"""Control characters that eyeline's own output is laid out with."""


class PlainStream:
    """A text stream that escapes every control character but line ends and tabs.

    File names, metadata and rule files are written by anybody; ESC ] in one of them would set a terminal's
    title, or worse. `lost`: something was to be written and could not be (closed, a full disk). A reader who
    has read enough, as `head`, loses nothing, and ends nothing: what a command changes it changes to the end.
    """

    def __init__(self, stream: TextIO | None) -> None:
        self.stream = stream
        self.lost = False

    def write(self, text: str) -> int:
        """Write `text` made printable; what cannot be written is remembered as lost."""
        shown = "".join(each if each in _LAYOUT else printable(each) for each in text)
        self._try("write", shown)
        return len(text)

    def flush(self) -> None:
        """Hand on what was written; what cannot be is remembered as lost."""
        self._try("flush")

    def isatty(self) -> bool:
        """Whether a person reads along."""
        return self.stream is not None and self.stream.isatty()

    def _try(self, method: str, *arguments: str) -> None:
        if self.stream is None:
            self.lost = self.lost or bool(arguments and arguments[0])
            return
        try:
            getattr(self.stream, method)(*arguments)
        except BrokenPipeError:
            self._let_go()
        except (OSError, ValueError):  # ValueError: closed meanwhile
            self.lost = True
            self._let_go()

    def _let_go(self) -> None:
        """Let what lies in buffers go nowhere, or Python would try again at the end and say so."""
        with suppress(OSError, ValueError, AttributeError):
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, self.stream.fileno())  # type: ignore[union-attr]
            os.close(nowhere)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)


@contextmanager
def plain_streams() -> Iterator[tuple[PlainStream, PlainStream]]:
    """Speak through plain streams meanwhile; yields those for stdout and stderr."""
    before = sys.stdout, sys.stderr
    for stream in before:
        # File names are bytes; one that is no UTF-8 must not end the program when it is printed.
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="backslashreplace")
    out, err = PlainStream(before[0]), PlainStream(before[1])
    sys.stdout, sys.stderr = out, err
    try:
        yield out, err
    finally:
        out.flush()
        sys.stdout, sys.stderr = before


def console(stderr: bool = False) -> Console:
    """A rich console on the stream itself, since what it writes steers the terminal on purpose."""
    from rich.console import Console

    stream: Any = sys.stderr if stderr else sys.stdout
    return Console(file=getattr(stream, "stream", stream))
