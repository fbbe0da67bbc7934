"""A path as a person writes it in TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from eyeline.toml_files.grammar import Kind


def _path(value: Any) -> Path:
    if not isinstance(value, str) or not value or "\0" in value:
        raise ValueError
    try:
        return Path(value).expanduser()
    except RuntimeError as error:  # ~somebody who has no home here
        raise ValueError from error


FilePath = Annotated[Path, Kind("a path", {"type": "string", "minLength": 1}, _path)]
"""A path that is not empty; `~` is the home."""
