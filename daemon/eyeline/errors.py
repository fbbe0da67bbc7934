"""Every error that eyeline raises on purpose.

    EyelineError                    exit 1 unless the class says otherwise
    ├── UnreadablePhoto             one photo cannot be read; the others go on
    ├── WorkerLost                  a worker died, hung or ran out of memory over one photo
    ├── UnsafeSidecar               a sidecar cannot be changed without loss; it is left untouched
    ├── ExifToolFailed              the ExifTool child is missing, dead, silent or unhappy
    ├── LedgerFailed                the ledger cannot be opened or written
    │   ├── LedgerOutdated          an older eyeline made it; opening it to write brings it up to date
    │   └── LedgerCorrupt           what the ledger's file holds is damaged
    └── BadConfiguration            exit 2: usage, configuration or a rule file

A message says what happened, to which file, and what to do next.
"""

from __future__ import annotations

import re
from pathlib import Path

OPENCV_NO_MEMORY = -4
"""cv::Error::StsNoMem."""

LIBRAW_NO_MEMORY = "LibRawUnsufficientMemoryError"
"""rawpy's class for LIBRAW_UNSUFFICIENT_MEMORY, as it spells it."""


_ONLY_FOR_PROGRAMMERS = (
    (re.compile(r"\s*<[^<>]* at 0x[0-9a-fA-F]+>"), ""),  # an object
    (re.compile(r"\bb(['\"])(.*?)\1"), r"\2"),  # bytes
    (re.compile(r"\b\w+\(\):?\s*"), ""),  # a function
)

_ENDS_WITH_COMMAND = re.compile(r": eyeline [^:]*$")


class EyelineError(Exception):
    """Base class. `what` happened, to which `file`, and the `cure`: three sentences' worth of text."""

    exit_code = 1

    def __init__(self, what: str, file: Path | None = None, cure: str = "") -> None:
        self.what = what
        self.file = file
        self.cure = cure
        super().__init__(what, file, cure)

    def __str__(self) -> str:
        return message(self.what, self.file, self.cure)


class UnreadablePhoto(EyelineError):
    """This photo cannot be read or measured."""


class WorkerLost(EyelineError):
    """The worker died, hung or ran out of memory over this photo; worth one more try, alone."""


class UnsafeSidecar(EyelineError):
    """This sidecar cannot be changed without risk to what others wrote in it."""


class ExifToolFailed(EyelineError):
    """The ExifTool child is missing, too old, dead, silent, or reported a problem."""


class LedgerFailed(EyelineError):
    """The ledger cannot be opened, read or written."""


class LedgerOutdated(LedgerFailed):
    """An older eyeline made the ledger, and it was opened to read only."""


class LedgerCorrupt(LedgerFailed):
    """What the ledger's file holds is damaged; it is left as it is."""


class BadConfiguration(EyelineError):
    """Usage, the configuration file or a rule file is wrong."""

    exit_code = 2


def is_out_of_memory(error: BaseException) -> bool:
    """Whether memory ran out: in Python, or in a library that has a word of its own for it."""
    kind = type(error)
    if kind.__module__ == "cv2":
        return getattr(error, "code", None) == OPENCV_NO_MEMORY
    return isinstance(error, MemoryError) or kind.__name__ == LIBRAW_NO_MEMORY


def unforeseen(error: Exception, file: Path) -> EyelineError:
    """What to say of an `error` that is a fault of eyeline's own: it costs `file` alone, the others go on."""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    place = f" at {Path(trace.tb_frame.f_code.co_filename).name}:{trace.tb_lineno}" if trace else ""
    return EyelineError(
        f"eyeline met something that it does not foresee ({type(error).__name__}{place})",
        file,
        "Nothing was changed; please report it with this file and its sidecar",
    )


def message(what: str, file: Path | None, cure: str) -> str:
    """What happened, to which file, and the cure, as sentences; the cure of a list stands below the list."""
    where = f"{printable(file)}: " if file is not None else ""
    said = printable_lines(what).removeprefix(where)
    between = "\n" if "\n  " in said else " "
    return where + sentence(said) + (between + sentence(printable_lines(cure)) if cure else "")


def sentence(text: str) -> str:
    """`text` with one full stop at its end, or the mark that it ends with; none after a command to type."""
    text = text.rstrip(". ")
    if _ENDS_WITH_COMMAND.search(text):
        return text
    return text if text.endswith(("?", "!")) else f"{text}."


def in_plain_words(error: BaseException) -> str:
    """What a library's exception says, without the parts that only mean something in its source code."""
    said = str(error) or type(error).__name__
    for pattern, instead in _ONLY_FOR_PROGRAMMERS:
        said = pattern.sub(instead, said)
    return printable(said.strip(" .:"))


def printable_lines(text: str) -> str:
    """`text` as `printable`, but that a message of several lines keeps those that it indents."""
    return "\n  ".join(map(printable, text.split("\n  ")))


def printable(path: Path | str) -> str:
    """`path` on one line for people: control characters and undecodable bytes are escaped."""
    text = str(path)
    if text.isprintable():
        return text
    return "".join(
        character
        if character.isprintable()
        else character.encode("unicode_escape", "surrogatepass").decode("ascii")
        for character in text
    )
