"""The file that a sheet is written to."""

from __future__ import annotations

from pathlib import Path

from eyeline.errors import EyelineError
from eyeline.system.whole_file import write_whole

HTML_ENDINGS = frozenset({".html", ".htm"})
PDF_ENDING = ".pdf"


def write_sheet(out: Path, content: bytes) -> None:
    """Have `content` at `out`, whole or not at all. Raises EyelineError."""
    try:
        write_whole(out, content)
    except OSError as error:
        why = error.strerror or error
        raise EyelineError(f"it cannot be written ({why})", out, "Name another file") from error
